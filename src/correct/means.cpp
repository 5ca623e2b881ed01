// SPDX-License-Identifier: MIT
#include <array>
#include <stdexcept>

#include "correct/correct.hpp"

namespace quarterturn::correct {
namespace {

// Minutes of handling, without the cuts that prove it: common practice, no source.
constexpr std::array<MeansRow, 11> kMeans{{
    {Means::shift, "shift", 10, true,
     "This is the plain move of one dog, for a dog that can be set; it also gives the size of every other "
     "remedy."},
    {Means::shim, "shim", 4, true,
     "Wipe the face first; a joint of the shim goes to the back of the dog. Afterwards a slip of paper must "
     "be gripped "
     "at both dogs."},
    {Means::re_seat, "re-seat", 5, true,
     "Clean hole and pin, push the dog home, then measure again: how much it brings cannot be told "
     "beforehand."},
    {Means::turn_dog, "turn-dog", 8, true,
     "Mark where the dog stood before you loosen it, and screw it home again."},
    {Means::eccentric, "eccentric", 10, true,
     "Hold the dog while its screw is tightened, and mark where it stands."},
    {Means::exchange_dogs, "exchange-dogs", 8, true, "Keep the mark of each dog pointing the way it did."},
    {Means::turn_bar, "turn-bar", 6, true, "Wipe bar and dogs, and push the bar against both of its dogs."},
    {Means::other_rail, "other-rail", 6, true,
     "It helps only if the rail is bent: turn the rail end for end against a knife line first, no cut "
     "needed."},
    {Means::wider_pair, "wider-pair", 15, true,
     "The new holes bring their own error, divided by the longer distance: measure again before anything "
     "else."},
    {Means::other_holes, "other-holes", 15, true,
     "The same dogs, on the same sides. Tell the station its new holes afterwards, and measure again."},
    {Means::re_bore, "re-bore", 90, false,
     "The plug must be glued in and dry before it is bored; a bored hole cannot be taken back."},
}};

}  // namespace

const MeansRow& means_row(Means means) {
  for (const MeansRow& row : kMeans) {
    if (row.means == means) return row;
  }
  throw std::logic_error("a means without a row");
}

std::string_view dog_words(WhichDog dog) {
  switch (dog) {
    case WhichDog::rail_far:
      return "far rail dog";
    case WhichDog::rail_near:
      return "near rail dog";
    case WhichDog::fence_right:
      return "right fence dog";
    case WhichDog::fence_left:
      return "left fence dog";
    case WhichDog::none:
      break;
  }
  return "no single dog";
}

}  // namespace quarterturn::correct
