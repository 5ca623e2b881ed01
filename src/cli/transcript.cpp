// SPDX-License-Identifier: MIT
#include "cli/transcript.hpp"

#include <utility>

namespace quarterturn::cli {

void Transcript::begin(Keep keep, std::vector<files::DraftLine> given) {
  keep_ = std::move(keep);
  given_ = std::move(given);
  left_out_.clear();
  at_ = 0;
  past_ = !given_.empty();
  waiting_.reset();
}

void Transcript::end() {
  begin(nullptr);
}

std::optional<std::string> Transcript::next(const std::string& question) {
  if (!past_ || at_ == given_.size()) return std::nullopt;
  if (given_[at_].question == question) return given_[at_++].answer;
  const auto first = given_.begin() + static_cast<std::ptrdiff_t>(at_);
  left_out_.assign(first, given_.end());
  given_.erase(first, given_.end());
  return std::nullopt;
}

std::optional<std::vector<files::DraftLine>> Transcript::go_live() {
  if (!std::exchange(past_, false)) return std::nullopt;
  return given_;
}

void Transcript::typed(const std::string& question, const std::string& answer) {
  if (keep_) waiting_ = files::DraftLine{question, answer};
}

void Transcript::hand_on() {
  if (!waiting_) return;
  const auto line = *std::exchange(waiting_, std::nullopt);
  keep_(line);
}

}  // namespace quarterturn::cli
