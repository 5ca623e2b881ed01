// SPDX-License-Identifier: MIT
/// \file transcript.hpp
/// The lines of one conversation: handed on to be kept as they are typed, and given again when a conversation
/// is taken up.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "files/draft.hpp"

namespace quarterturn::cli {

class Transcript {
 public:
  using Keep = std::function<void(const files::DraftLine&)>;

  /// Lines that are typed from now on go to `keep`. \param given  those of before, to be given again first
  void begin(Keep keep, std::vector<files::DraftLine> given = {});
  void end();

  /// Whether what is said is of the past, and not shown again.
  [[nodiscard]] bool is_past() const { return past_; }
  /// The next line of before, if it answers that question. The first that does not, and all after it, are
  /// left out.
  std::optional<std::string> next(const std::string& question);
  /// From here on it is the present. \returns the lines that were given, the first time
  std::optional<std::vector<files::DraftLine>> go_live();
  /// Lines of before that answered other questions than those asked now.
  [[nodiscard]] const std::vector<files::DraftLine>& left_out() const { return left_out_; }

  /// A line as it was typed; it is handed on before the next one is asked for.
  void typed(const std::string& question, const std::string& answer);
  void hand_on();
  /// What was typed last is not part of the conversation: it leaves it.
  void forget_last() { waiting_.reset(); }

 private:
  Keep keep_;
  std::vector<files::DraftLine> given_, left_out_;
  std::size_t at_ = 0;
  bool past_ = false;
  std::optional<files::DraftLine> waiting_;
};

}  // namespace quarterturn::cli
