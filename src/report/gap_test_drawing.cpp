// SPDX-License-Identifier: MIT
// Each picture is drawn once, for a part kept on the left and a panel before the fence; other setups are its
// mirror images.
#include <algorithm>
#include <array>
#include <utility>

#include "report/amounts.hpp"
#include "report/gap_test_words.hpp"

namespace quarterturn::report {
namespace {

using Rows = std::vector<std::string>;
using Swaps = std::array<std::pair<const char*, const char*>, 3>;

constexpr Swaps kSideways{{{"┌", "┐"}, {"└", "┘"}, {"/", "\\"}}};
constexpr Swaps kUpDown{{{"┌", "└"}, {"┐", "┘"}, {"/", "\\"}}};
constexpr const char* kOut = "out";
constexpr int kIndent = 3;

std::vector<std::string> cells_of(const std::string& row) {
  std::vector<std::string> cells;
  for (const char c : row) {
    if ((static_cast<unsigned char>(c) & 0xC0U) != 0x80U) cells.emplace_back();
    cells.back() += c;
  }
  return cells;
}

std::string swapped(const std::string& cell, const Swaps& swaps) {
  for (const auto& [one, other] : swaps) {
    if (cell == one) return other;
    if (cell == other) return one;
  }
  return cell;
}

/// Left and right exchanged; the one word that stands in a picture still reads forward.
Rows sideways(const Rows& rows) {
  Rows mirrored;
  for (const auto& row : rows) {
    auto cells = cells_of(row);
    std::reverse(cells.begin(), cells.end());
    std::string text;
    for (const auto& cell : cells) text += swapped(cell, kSideways);
    const std::string word(kOut);
    const auto at = text.find(std::string(word.rbegin(), word.rend()));
    if (at != std::string::npos) text.replace(at, word.size(), word);
    mirrored.push_back(text);
  }
  return mirrored;
}

Rows up_down(const Rows& rows) {
  Rows mirrored;
  for (auto row = rows.rbegin(); row != rows.rend(); ++row) {
    std::string text;
    for (const auto& cell : cells_of(*row)) text += swapped(cell, kUpDown);
    mirrored.push_back(text);
  }
  return mirrored;
}

Picture at_the_fence(const GapTestShown& shown, const char* title, Rows rows) {
  std::string fence;
  for (std::size_t i = 0; i < columns_of(rows.front()); ++i) fence += "═";
  rows.insert(rows.begin(), fence);
  if (!shown.before) rows = up_down(rows);
  if (!shown.keep_left) rows = sideways(rows);
  return {title, rows};
}

std::vector<Picture> pair_pictures(const GapTestShown& shown) {
  return {at_the_fence(shown, "cut A",
                       {"┌───1───F║──┐",  //
                        "│   A    ║  │",  //
                        "│   X    ║  │",  //
                        "└───2────║──┘"}),
          at_the_fence(shown, "cut B",
                       {"┌───1───F║──┐",  //
                        "│   B    ║  │",  //
                        "│   X    ║  │",  //
                        "└───2────║──┘"}),
          at_the_fence(shown, "B turned over",
                       {"┌───1───F    F───1───┐",  //
                        "│   A    \\  /    B   │",
                        "│   X     \\/         │",  //
                        "└───2─────┘└─────2───┘"})};
}

std::vector<Picture> halves_pictures(const GapTestShown& shown) {
  return {at_the_fence(shown, "the cut",
                       {"┌────1────F║────1────┐",  //
                        "│    A     ║    B    │",  //
                        "│    X     ║    X    │",  //
                        "└────2─────║────2────┘"}),
          at_the_fence(shown, "B turned over",
                       {"┌───1───F    ┌───2───┐",  //
                        "│   A    \\  /    B   │",
                        "│   X     \\/         │",  //
                        "└───2─────┘└─────1───┘"})};
}

/// Where the inner edge lies on the fence the piece is drawn the other way round, the fence is not.
Picture mitre(const GapTestShown& shown, const char* title, const Rows& piece) {
  return at_the_fence(shown, title, shown.outer_at_fence ? piece : up_down(piece));
}

Rows ring(int pieces) {
  switch (pieces) {
    case 3:
      return {"         F         ",  //
              "        /│\\        ",  "       / │ \\       ",  "    3 /  ^  \\ 1    ",
              "     /  / \\  \\     ", "    /  /   \\  \\    ", "   /  └─────┘  \\   ",
              "  / .         . \\  ",
              " └───────────────┘ ",  //
              "         2         "};
    case 4:
      return {"F────────────────┐",  //
              "│\\      1       /│", "│ \\┌──────────┐/ │",
              "│4 │          │ 2│",  //
              "│ /└──────────┘\\ │", "│/      3       \\│", "└────────────────┘"};
    case 6:
      return {"    F──────────┐    ",  //
              "   / \\   1    / \\   ", "  / 6 ┌──────┐ 2 \\  ", " /   /        \\   \\ ",
              "────            ────",  //
              " \\   \\        /   / ", "  \\ 5 └──────┘ 3 /  ", "   \\ /   4    \\ /   ",
              "    └──────────┘    "};
    case 8:
      return {"   F────────┐   ",  //
              "  / \\  1   / \\  ", " / 8 ┌────┐ 2 \\ ", "┌── /      \\ ──┐",
              "│  │        │  │",  //
              "│7 │        │ 3│",  //
              "│  │        │  │",  //
              "└── \\      / ──┘",  " \\ 6 └────┘ 4 / ", "  \\ /  5   \\ /  ", "   └────────┘   "};
    default:
      return {};
  }
}

std::vector<Picture> frame_pictures(const GapTestShown& shown) {
  std::vector<Picture> pictures{mitre(shown, "first end",
                                      {"┌────out────//─┐",  //
                                       "│          //  │",  //
                                       "│    X    //   │",  //
                                       "└────────//────┘"}),
                                mitre(shown, "other end",
                                      {"┌────out────//─┐",   //
                                       " \\         //  │",  //
                                       "  \\       //   │",  //
                                       "   └─────//────┘"})};
  if (const Rows closed = ring(shown.pieces); !closed.empty()) pictures.push_back({"the ring", closed});
  pictures.push_back({"last joint, large",
                      {"       out        ",  //
                       "     F      F     ",  //
                       "    / \\    / \\    ", "   /   \\  /   \\   ", "  /     \\/     \\  ",
                       " /     /  \\     \\ ", "/     /    \\     \\"}});
  return pictures;
}

std::vector<Picture> rail_pictures(const GapTestShown& shown) {
  std::vector<Picture> pictures{{"knife line",
                                 {"┌────┐┊       ",  //
                                  "│ 2  │┊       ",  //
                                  "│    │┊       ",  //
                                  "│    │┊       ",  //
                                  "│ 1  │┊       ",  //
                                  "└────┘┊       "}},
                                {"turned: straight",
                                 {"      ┊┌─────┐",  //
                                  "      ┊│   1 │",  //
                                  "      ┊│     │",  //
                                  "      ┊│     │",  //
                                  "      ┊│   2 │",  //
                                  "      ┊└─────┘"}},
                                {"gap at the ends",
                                 {"      ┊ ┌────┐",  //
                                  "      ┊ │  1 │",  //
                                  "      ┊│     │",  //
                                  "      ┊│     │",  //
                                  "      ┊ │  2 │",  //
                                  "      ┊ └────┘"}},
                                {"gap in the middle",
                                 {"      ┊┌─────┐",  //
                                  "      ┊│   1 │",  //
                                  "      ┊ │    │",  //
                                  "      ┊ │    │",  //
                                  "      ┊│   2 │",  //
                                  "      ┊└─────┘"}}};
  if (shown.keep_left != shown.rail_over_kept) {
    for (auto& picture : pictures) picture.rows = sideways(picture.rows);
  }
  return pictures;
}

std::string key(const GapTestShown& shown) {
  const std::string gap = " The gap is drawn far too large; it may be open at either end.";
  switch (shown.kind) {
    case GapTestShown::Kind::pair:
      return "═ fence, ║ rail; you stand below. 1: the long edge at the fence in the cut, there again with B "
             "turned over. B lies X down." +
             gap;
    case GapTestShown::Kind::halves:
      return "═ fence, ║ rail; you stand below. 1: the long edge at the fence in the cut, 2: the other. B "
             "lies "
             "X down, its edge 2 at the fence." +
             gap;
    case GapTestShown::Kind::frame:
      return std::string("═ fence, ") +
             (shown.keep_left == (shown.before == shown.outer_at_fence) ? "//" : "\\\\") +
             " rail; you stand below. out: outer edge. For the other end the piece lies X down. F: outer end "
             "of "
             "the last joint." +
             gap;
    case GapTestShown::Kind::rail:
      break;
  }
  return std::string(
             "┊ knife line; you stand below. 1, 2: the rail's ends. Gap at the ends: the kept edge "
             "comes out ") +
         (shown.rail_over_kept ? "crowned; in the middle: hollow." : "hollow; in the middle: crowned.");
}

std::size_t width_of(const Picture& picture) {
  return std::max(columns_of(picture.title), columns_of(picture.rows.front()));
}

/// Pictures from `from` up to `to` side by side, their titles above.
std::string side_by_side(const std::vector<Picture>& pictures, std::size_t from, std::size_t to) {
  std::size_t height = 0;
  for (std::size_t i = from; i < to; ++i) height = std::max(height, pictures[i].rows.size() + 1);
  std::string text;
  for (std::size_t row = 0; row < height; ++row) {
    std::string line;
    for (std::size_t i = from; i < to; ++i) {
      const auto& picture = pictures[i];
      const std::string part = row == 0                     ? picture.title
                               : row <= picture.rows.size() ? picture.rows[row - 1]
                                                            : std::string();
      line += std::string(kIndent, ' ') + part + std::string(width_of(picture) - columns_of(part), ' ');
    }
    text += line.substr(0, line.find_last_not_of(' ') + 1) + "\n";
  }
  return text;
}

}  // namespace

std::vector<Picture> gap_test_pictures(const GapTestShown& shown) {
  switch (shown.kind) {
    case GapTestShown::Kind::pair:
      return pair_pictures(shown);
    case GapTestShown::Kind::halves:
      return halves_pictures(shown);
    case GapTestShown::Kind::frame:
      return frame_pictures(shown);
    case GapTestShown::Kind::rail:
      break;
  }
  return rail_pictures(shown);
}

std::string gap_test_drawing(const GapTestShown& shown, int width) {
  const auto pictures = gap_test_pictures(shown);
  const auto most = static_cast<std::size_t>(std::max(width, 0));
  std::string text;
  for (std::size_t from = 0; from < pictures.size();) {
    std::size_t to = from, used = 0;
    while (to < pictures.size() && used + kIndent + width_of(pictures[to]) <= most)
      used += kIndent + width_of(pictures[to++]);
    if (to == from) return "";
    text += (from == 0 ? "" : "\n") + side_by_side(pictures, from, to);
    from = to;
  }
  return text + wrapped(std::string(kIndent, ' ') + key(shown), width) + "\n";
}

}  // namespace quarterturn::report
