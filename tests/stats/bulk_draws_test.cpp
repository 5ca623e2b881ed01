// SPDX-License-Identifier: MIT
// Many draws at once are the draws one by one, in every bit, with each kind of machine code that runs here.
#include "stats/bulk_draws.hpp"

#include <doctest/doctest.h>

#include <array>
#include <limits>
#include <vector>

#include "stats/isa.hpp"
#include "stats/streams.hpp"

using namespace quarterturn;
using stats::Stream;

namespace {

std::vector<stats::Isa> here() {
  std::vector<stats::Isa> found;
  for (const auto isa : {stats::Isa::plain, stats::Isa::avx2, stats::Isa::avx512})
    if (stats::runs(isa)) found.push_back(isa);
  return found;
}

template <class One>
std::vector<double> one_by_one(std::size_t n, One one) {
  std::vector<double> out;
  for (std::size_t i = 0; i < n; ++i) out.push_back(one());
  return out;
}

constexpr std::uint64_t kSeed = 0x123456789abcdef0, kStream = 0xfedcba9876543210;

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("bulk draws: the same to the bit, of any number, wherever in the stream and its machine code") {
    for (const auto isa : here()) {
      stats::use(isa);
      CAPTURE(static_cast<int>(isa));
      // before: nothing, half a block, half a pair of normals, both
      for (int before = 0; before < 4; ++before) {
        for (const unsigned n : {0U, 1U, 2U, 3U, 7U, 8U, 15U, 16U, 17U, 31U, 33U, 1000U, 1001U}) {
          CAPTURE(before);
          CAPTURE(n);
          Stream plain(kSeed, kStream), many(kSeed, kStream);
          for (Stream* s : {&plain, &many}) {
            if (before & 1) s->uniform();
            if (before & 2) s->normal();
          }
          std::vector<double> out(n);
          many.normals(out);
          CHECK(out == one_by_one(n, [&] { return plain.normal(); }));
          many.uniforms(out);
          CHECK(out == one_by_one(n, [&] { return plain.uniform(); }));
          std::vector<double> added(n, 3.0);
          for (const double dof : {1.0, 4.7, 1e6, std::numeric_limits<double>::infinity()}) {
            std::fill(added.begin(), added.end(), 3.0);
            many.add_ts(0.3, dof, added);
            CHECK(added == one_by_one(n, [&] { return 3.0 + plain.t(dof) * 0.3; }));
          }
          std::fill(added.begin(), added.end(), -2.0);
          many.add_uniforms(-1, 2, added);
          CHECK(added == one_by_one(n, [&] { return -2.0 + (plain.uniform() * 3.0 + -1.0); }));
          std::fill(added.begin(), added.end(), 5.0);
          many.add_normals(0.25, added);
          CHECK(added == one_by_one(n, [&] { return 5.0 + plain.normal() * 0.25; }));
          CHECK(many.bits() == plain.bits());  // and both stand at the same place
        }
      }
    }
    stats::use(here().back());
  }

  TEST_CASE("bulk draws: a stream's blocks are counted on past 32 bits") {
    constexpr double kDof = 4.7;
    // two uniform deviates of a block, by the generator's text
    const auto uniforms_at = [](std::uint64_t index) {
      const auto low = [](std::uint64_t x) { return static_cast<std::uint32_t>(x); };
      const auto block = stats::philox({low(index), low(index >> 32), low(kStream), low(kStream >> 32)},
                                       {low(kSeed), low(kSeed >> 32)});
      const auto uniform = [](std::uint64_t word) {
        return (static_cast<double>(word >> 12) + 0.5) * 0x1p-52;
      };
      return std::array{uniform(std::uint64_t{block[1]} << 32 | block[0]),
                        uniform(std::uint64_t{block[3]} << 32 | block[2])};
    };
    for (const auto isa : here()) {
      CAPTURE(static_cast<int>(isa));
      std::vector<double> out(40);
      stats::DrawRequest request;
      request.seed = kSeed;
      request.stream = kStream;
      request.index = 0xfffffff7;  // and not at the end of a register
      request.count = out.size();
      request.out = out.data();
      request.dof = kDof;
      stats::draw(stats::Draw::uniform, request, isa);
      for (unsigned b = 0; b < 20; ++b) {
        const auto [u, v] = uniforms_at(request.index + b);
        CHECK(out[2 * b] == u);
        CHECK(out[2 * b + 1] == v);
      }
      stats::draw(stats::Draw::normal, request, isa);
      for (unsigned b = 0; b < 20; ++b) {
        const auto [u, v] = uniforms_at(request.index + b);
        CHECK(out[2 * b] == stats::normal_pair(u, v).cos);
        CHECK(out[2 * b + 1] == stats::normal_pair(u, v).sin);
      }
      stats::draw(stats::Draw::t, request, isa);
      for (unsigned b = 0; b < 40; ++b) {
        const auto [u, v] = uniforms_at(request.index + b);
        CHECK(out[b] == stats::t_of(u, v, kDof));
      }
    }
  }
}
