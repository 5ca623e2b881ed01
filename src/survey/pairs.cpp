// SPDX-License-Identifier: MIT
#include "survey/pairs.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "survey/solved_lines.hpp"

namespace quarterturn::survey {
namespace {

/// A pair with its lines' places, while many are compared.
struct Candidate {
  PairResult pair;
  std::size_t rail, fence;
};

bool better(const PairResult& a, const PairResult& b, RankBy by) {
  if (by == RankBy::probability) return a.probability > b.probability;
  return std::fabs(a.eps) + a.u < std::fabs(b.eps) + b.u;
}

}  // namespace

// (M112)
PairTable rank_pairs(const Adjustment& adjustment, const PairOptions& options) {
  const SolvedLines table(adjustment, options);
  const std::vector<SolvedLine> rails = table.rails(), fences = table.fences();
  PairTable out;
  std::vector<Candidate> best;  // a heap, the worst on top
  const auto order = [&](const Candidate& a, const Candidate& b) {
    return better(a.pair, b.pair, options.rank_by);
  };
  std::set<std::string> because;
  for (std::size_t r = 0; r < rails.size(); ++r) {
    for (std::size_t f = 0; f < fences.size(); ++f) {
      if (!table.fit(rails[r], fences[f])) continue;
      ++out.considered;
      const std::vector<std::string> why = table.undetermined(rails[r], fences[f]);
      if (!why.empty()) {
        ++out.undetermined;
        because.insert(why.begin(), why.end());
        continue;
      }
      best.push_back({table.pair(rails[r], fences[f]), r, f});
      std::push_heap(best.begin(), best.end(), order);
      if (best.size() > options.most) {
        std::pop_heap(best.begin(), best.end(), order);
        best.pop_back();
      }
    }
  }
  std::sort_heap(best.begin(), best.end(), order);
  for (const Candidate& one : best)
    out.best.push_back(table.finished(one.pair, rails[one.rail], fences[one.fence]));
  std::stable_sort(out.best.begin(), out.best.end(),
                   [&](const PairResult& a, const PairResult& b) { return better(a, b, options.rank_by); });
  out.because.assign(because.begin(), because.end());
  return out;
}

}  // namespace quarterturn::survey
