// SPDX-License-Identifier: MIT
#include <Eigen/Core>
#include <algorithm>

#include "stats/sparse_cholesky.hpp"
#include "stats/sparse_factor.hpp"

namespace quarterturn::stats {
namespace {

using Matrix = Eigen::MatrixXd;

std::size_t index(int i) {
  return static_cast<std::size_t>(i);
}

}  // namespace

double SelectedInverse::value(const Block& block, int row, int column) const {
  const auto first = rows_.begin() + static_cast<std::ptrdiff_t>(block.rows);
  const auto at = row < block.first + block.width
                      ? index(row - block.first)
                      : static_cast<std::size_t>(
                            std::lower_bound(first + block.width,
                                             first + static_cast<std::ptrdiff_t>(block.height), row) -
                            first);
  return values_[block.values + index(column - block.first) * block.height + at];
}

/// (M101) Z = A^-1 from the last columns to the first, those together that have the same rows R below
/// themselves: U = L_R L_J^-1, Z_RJ = -Z_RR U, Z_JJ = L_J'^-1 D^-1 L_J^-1 - U'Z_RJ. Two rows of one column
/// are a place of L, so all of Z_RR is at hand; it is gathered once for all columns of a block.
SelectedInverse SparseCholesky::selected_inverse() const {
  const Factor& f = *factor_;
  const std::size_t n = f.size();
  SelectedInverse z;
  z.position_ = f.order;
  z.stored_ = f.rows.size() + n;
  z.block_of_.resize(n);
  std::size_t elements = 0;
  for (std::size_t j = 0; j < n;) {
    std::size_t end = j + 1;
    while (end < n && f.parent[end - 1] == static_cast<int>(end) && f.filled[end - 1] == f.filled[end] + 1)
      ++end;
    const std::size_t below = index(f.filled[end - 1]), height = end - j + below;
    z.blocks_.push_back({static_cast<int>(j), static_cast<int>(end - j), z.rows_.size(), height, elements});
    for (std::size_t k = j; k < end; ++k) {
      z.block_of_[k] = static_cast<int>(z.blocks_.size()) - 1;
      z.rows_.push_back(static_cast<int>(k));
    }
    const auto from = f.rows.begin() + f.begin[end - 1];
    z.rows_.insert(z.rows_.end(), from, from + static_cast<std::ptrdiff_t>(below));
    elements += height * (end - j);
    j = end;
  }
  z.values_.resize(elements);
  std::vector<double> room;  // of Z_RR and U, as large as the largest block needs
  std::vector<std::size_t> place;
  for (std::size_t b = z.blocks_.size(); b-- > 0;) {
    const auto& block = z.blocks_[b];
    const auto w = static_cast<Eigen::Index>(block.width);
    const auto r = static_cast<Eigen::Index>(block.height) - w;
    room.resize(std::max(room.size(), static_cast<std::size_t>(r * r + (r + w) * w + w * w)));
    Eigen::Map<Matrix> inverse(room.data(), w, w), u(inverse.data() + w * w, r, w),
        zr(u.data() + r * w, r, r);
    Matrix unit = Matrix::Identity(w, w);
    for (Eigen::Index c = 0; c < w; ++c) {
      const double* const column =
          f.values.data() + f.begin[index(block.first) + static_cast<std::size_t>(c)];
      for (Eigen::Index i = c + 1; i < w; ++i) unit(i, c) = column[i - c - 1];
      for (Eigen::Index i = 0; i < r; ++i) u(i, c) = column[w - c - 1 + i];
    }
    inverse.setIdentity();
    unit.triangularView<Eigen::UnitLower>().solveInPlace(inverse);
    if (r > 0) unit.triangularView<Eigen::UnitLower>().solveInPlace<Eigen::OnTheRight>(u);
    // Z_RR: rows of R that lie in one block have the same rows below themselves.
    const int* const below = z.rows_.data() + block.rows + w;
    for (Eigen::Index t = 0; t < r;) {
      const auto& other = z.blocks_[index(z.block_of_[index(below[t])])];
      const int* const rows = z.rows_.data() + other.rows;
      place.clear();
      std::size_t at = 0;
      for (Eigen::Index s = t; s < r; ++s) {
        if (below[s] < other.first + other.width)
          at = index(below[s] - other.first);
        else
          while (rows[at] != below[s]) ++at;
        place.push_back(at);
      }
      const Eigen::Index begin = t;
      for (; t < r && below[t] < other.first + other.width; ++t) {
        const double* const column =
            z.values_.data() + other.values + index(below[t] - other.first) * other.height;
        for (Eigen::Index s = t; s < r; ++s) zr(s, t) = column[place[static_cast<std::size_t>(s - begin)]];
      }
    }
    Eigen::Map<Matrix> out(z.values_.data() + block.values, w + r, w);
    const Eigen::Map<const Eigen::VectorXd> d(f.d.data() + block.first, w);
    out.topRows(w).noalias() = inverse.transpose() * d.cwiseInverse().asDiagonal() * inverse;
    if (r == 0) continue;
    out.bottomRows(r).noalias() = zr.selfadjointView<Eigen::Lower>() * u;
    out.bottomRows(r) *= -1;
    out.topRows(w).noalias() -= u.transpose() * out.bottomRows(r);
  }
  return z;
}

std::optional<double> SelectedInverse::at(int i, int j) const {
  const auto [column, row] =
      std::minmax(position_.at(static_cast<std::size_t>(i)), position_.at(static_cast<std::size_t>(j)));
  const Block& block = blocks_[index(block_of_[index(column)])];
  if (row >= block.first + block.width) {
    const auto first = rows_.begin() + static_cast<std::ptrdiff_t>(block.rows);
    if (!std::binary_search(first + block.width, first + static_cast<std::ptrdiff_t>(block.height), row))
      return std::nullopt;
  }
  return value(block, row, column);
}

double SelectedInverse::diagonal(int i) const {
  const int place = position_.at(static_cast<std::size_t>(i));
  return value(blocks_[index(block_of_[index(place)])], place, place);
}

}  // namespace quarterturn::stats
