// SPDX-License-Identifier: MIT
/// \file page.hpp
/// The frame of every page: one file that loads nothing and runs nothing, for screens light and dark, phones,
/// and paper of A4 or Letter size.
#pragma once

#include <string>
#include <vector>

#include "report/markup.hpp"
#include "units/number.hpp"

namespace quarterturn::report {

/// \param title  plain text \param body  whole elements \param kind  class of the page: `report`, `card`, …
std::string page_of(const std::string& title, Literal kind, const Markup& body);

/// Amounts that no line end parts: 0.18 ± 0.06 mm, 95 %.
std::string unbroken(const std::string& text);
/// Lines as paragraphs: what is indented stands back, lines that begin with `- ` become a list.
void paragraphs(Markup& markup, const std::string& text);
/// A line each.
void bullets(Markup& markup, const std::vector<std::string>& lines);

/// A row of cells, each named as its column's head is, so that a narrow screen can stack them.
using Cells = std::vector<std::string>;
/// \param heads  of the columns \param kind  class: `stack` stacks on narrow screens
void table(Markup& markup, const std::string& caption, const Cells& heads, const std::vector<Cells>& rows,
           Literal kind = "stack");

/// The care notes under their heading, on one page of paper.
void care_section(Markup& markup, units::Unit unit);

}  // namespace quarterturn::report
