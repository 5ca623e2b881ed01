// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "files/dates.hpp"
#include "files/log_document.hpp"
#include "files/readings_file.hpp"
#include "files/sha256.hpp"
#include "report/amounts.hpp"
#include "report/care.hpp"
#include "report/check_page.hpp"
#include "report/history_report.hpp"
#include "report/log_report.hpp"
#include "report/page.hpp"
#include "report/pictures.hpp"
#include "report/words.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

constexpr double kBroadWidth = 780;
constexpr std::size_t kMostRows = 200;

const char* answer_words(const history::Entry& entry) {
  if (!entry.answer) return "";
  switch (*entry.answer) {
    case check::Answer::within:
      return "WITHIN";
    case check::Answer::outside:
      return "OUTSIDE";
    case check::Answer::cannot_tell:
      break;
  }
  return "CANNOT TELL YET";
}

std::string verdict_of(const history::Entry& entry) {
  return answer_words(entry) + std::string(entry.provisional ? " (provisional)" : "");
}

std::vector<Cells> rows_of(const history::Record& record, units::Unit unit) {
  std::vector<Cells> rows;
  const std::size_t first = record.entries.size() > kMostRows ? record.entries.size() - kMostRows : 0;
  for (std::size_t k = first; k < record.entries.size(); ++k) {
    const auto& entry = record.entries[k];
    const double mm = over_panel(record.panel_mm, entry.eta);
    const double half = entry.u * stats::t_quantile(0.5 * (1 + record.settings.confidence), entry.dof);
    const std::string by = entry.u > 0
                               ? plus_minus_text(std::fabs(mm), over_panel(record.panel_mm, half), unit)
                               : length_text(std::fabs(mm), unit) + ", ± not known";
    rows.push_back({record.entry_names[k].date.substr(0, 10), units::inert(record.entry_names[k].name),
                    fmt::format("{} 90° by {}", side_word(entry.eta), by),
                    entry.hollow ? std::string("old result") : verdict_of(entry)});
  }
  return rows;
}

/// Lower-case first letter made a capital one, for a sentence that stood behind a name.
std::string capital(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text;
}

void write(Markup& page, const RecordShown& shown, std::size_t number, const std::string& made_on) {
  const auto& record = shown.record;
  const TextOptions options{.unit = shown.unit, .plain = true};
  const auto words = history_words(record, options);
  const std::string name = units::inert(record.station) + ", " + units::inert(record.setup) + ": ";
  page.open("article").element("h1", units::inert(record.station) + ", setup " + units::inert(record.setup));
  const auto& last = record.history.last_answer;
  page.open("p", {{"class", last ? std::string("answer ") + check::answer_word(*last) : "answer"}});
  const std::string answer =
      words.answer.starts_with(name) ? capital(words.answer.substr(name.size())) : words.answer;
  if (last && !record.entries.empty() && record.entries.back().answer) {
    page.open("strong", {{"class", "verdict"}});
    page.element("span", verdict_sign(*last), {{"aria-hidden", "true"}});
    page.text(verdict_of(record.entries.back())).close();
  }
  page.element("span", unbroken(answer), {{"class", "corner"}}).close();
  page.open("div", {{"class", "advice"}});
  paragraphs(page, words.due);
  page.close();
  page.open("div", {{"class", "pictures single"}}).open("figure").element("h2", "The record");
  page.open("div", {{"class", "wide"}});
  page.add(history_picture(record, shown.unit, kBroadWidth).on_page(fmt::format("r{}w", number))).close();
  page.open("div", {{"class", "narrow"}});
  page.add(history_picture(record, shown.unit).on_page(fmt::format("r{}n", number))).close();
  page.close().close();
  if (!words.evidence.empty()) {
    page.element("h2", "What the checks say");
    paragraphs(page, words.evidence);
  }
  if (!words.not_told.empty()) {
    page.element("h2", "What they cannot say yet");
    paragraphs(page, words.not_told);
  }
  page.element("h2", "Checks");
  const auto rows = rows_of(record, shown.unit);
  table(page,
        fmt::format("over {}{}", size_text(record.panel_mm, shown.unit),
                    rows.size() < record.entries.size()
                        ? fmt::format("; the last {} of {}", rows.size(), record.entries.size())
                        : ""),
        {"date", "check", "the corner", "verdict"}, rows);
  if (!shown.events.empty()) {
    page.element("h2", "Events");
    bullets(page, shown.events);
  }
  care_section(page, shown.unit);
  page.element("h2", "Method");
  paragraphs(page, record_method_text());
  page.element("h2", "Where this comes from").open("dl", {{"class", "keep"}});
  page.element("dt", "report made").element("dd", made_on + " by quarterturn " QUARTERTURN_VERSION);
  page.element("dt", "log id").open("dd").element("code", shown.station_id).close();
  page.element("dt", "SHA-256").open("dd").element("code", files::sha256(shown.checks)).close().close();
  page.element("p",
               "The log id is the station's. The checksum is of the table of its checks that 'quarterturn "
               "report' writes with --format csv.");
  page.close();
}

}  // namespace

std::string record_page(const std::vector<RecordShown>& records, const std::string& made_on) {
  Markup body;
  body.open("main");
  for (std::size_t k = 0; k < records.size(); ++k) write(body, records[k], k + 1, made_on);
  body.close();
  return page_of("quarterturn: the record of " + records.front().record.station, "report", body);
}

std::vector<std::string> event_lines(const logbook::Logbook& log, const std::string& station,
                                     const std::string& setup) {
  auto events = log.events(station);
  std::erase_if(events, [&](const auto& kept) {
    return kept.withdrawn || (!kept.event.setup.empty() && !setup.empty() && kept.event.setup != setup);
  });
  std::ranges::stable_sort(events, {}, [](const auto& kept) {
    return files::order_of(kept.event.date, kept.event.utc, kept.event.recorded);
  });
  std::vector<std::string> lines;
  for (const auto& kept : events) {
    const auto& event = kept.event;
    std::string line = event.date.substr(0, 10) + "  " + event.kind;
    if (!event.target.empty()) line += " " + units::inert(event.target);
    if (!event.note.empty()) line += ": " + units::inert(event.note, 400);
    if (!event.person.empty()) line += " (" + units::inert(event.person) + ")";
    lines.push_back(std::move(line));
  }
  return lines;
}

namespace {

/// The last comparison of the caliper that the log has from before the check: one that names no caliper is of
/// all.
std::string compared_words(const logbook::Logbook& log, const logbook::KeptCheck& kept) {
  const auto check = files::parse_readings(files::text_of(log.readings(kept.latest.id), "the log"));
  const std::string day = kept.latest.date.substr(0, 10);
  std::string words, last;
  for (const auto& record : log.events(kept.made.station)) {
    const auto& event = record.event;
    const std::string on = event.date.substr(0, 10);
    const bool of_it = event.target.empty() || event.target == check.caliper_id ||
                       (check.caliper_id.empty() && check.caliper && event.target == check.caliper->name);
    if (record.withdrawn || event.kind != files::kCaliperCompared || !of_it || on > day || on < last)
      continue;
    last = on;
    words = on + (event.note.empty() ? "" : ", " + units::inert(event.note, 400)) +
            (event.person.empty() ? "" : " (" + units::inert(event.person) + ")");
  }
  return words;
}

}  // namespace

LogLines log_lines_of(const logbook::Logbook& log, const logbook::KeptCheck& kept, units::Unit unit) {
  LogLines lines;
  for (const auto& version : log.versions(kept.made.id)) {
    lines.kept.push_back(fmt::format(
        "{} {}: {}{}", version.recorded.substr(0, 10), version.reason.empty() ? "kept" : "amended",
        result_words(version.result, unit, version.readings),
        version.reason.empty() ? "" : "; because: " + units::inert(version.reason, 400)));
  }
  for (const auto& note : log.notes(kept.made.id))
    lines.kept.push_back(
        fmt::format("{} note: {}", note.recorded.substr(0, 10), units::inert(note.text, 400)));
  for (const auto& record : log.withdrawals()) {
    if (record.about != kept.made.id) continue;
    lines.withdrawn = units::inert(record.reason, 400);
    lines.kept.push_back(record.recorded.substr(0, 10) + " withdrawn: " + lines.withdrawn);
  }
  lines.events = event_lines(log, kept.made.station, kept.made.setup);
  lines.compared = compared_words(log, kept);
  return lines;
}

}  // namespace quarterturn::report
