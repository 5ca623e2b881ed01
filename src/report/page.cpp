// SPDX-License-Identifier: MIT
#include "report/page.hpp"

#include <sstream>

#include "report/care.hpp"
#include "report/palette.hpp"

namespace quarterturn::report {
namespace {

/// The page's own colours by name, from the palette.
void name_colours(Sheet& sheet, bool dark) {
  struct Named {
    Literal name;
    Colour colour;
  };
  const Named kNames[] = {{"--paper:", kPaper}, {"--sheet:", kSheet}, {"--ink:", kInk},
                          {"--quiet:", kQuiet}, {"--rule:", kRule},   {"--warm:", kWarm},
                          {"--green:", kGreen}, {"--ochre:", kOchre}, {"--blue:", kBlue}};
  sheet.push_back(":root{");
  for (const auto& named : kNames) {
    sheet.push_back(named.name);
    sheet.push_back(dark ? named.colour.dark : named.colour.light);
    sheet.push_back(";");
  }
  sheet.push_back("}\n");
}

constexpr std::size_t kMostKeptCells = 48;  // a table of more may begin on one page and end on the next

constexpr Literal kLook =
    ":root{color-scheme:light dark}\n"
    "*{box-sizing:border-box}\n"
    "html{background:var(--paper);color:var(--ink);font:1rem/1.5 system-ui,sans-serif;"
    "-webkit-text-size-adjust:100%}\n"
    "body{margin:0 auto;padding:1rem;max-width:64rem;overflow-wrap:break-word}\n"
    "h1{font-size:1rem;font-weight:600;margin:0 0 1rem;color:var(--quiet)}\n"
    "h2{font-size:1.15rem;margin:2rem 0 .5rem;line-height:1.25}\n"
    "p,figcaption{margin:.35rem 0;max-width:44rem}.back{padding-left:1.25rem}\n"
    "ul,ol{margin:.35rem 0;padding-left:1.25rem;max-width:44rem}li{margin:.2rem 0}\n"
    ".answer{border-left:.5rem solid var(--rule);padding:.5rem 0 .5rem 1rem;margin:0 0 1rem}\n"
    ".answer .verdict{display:block;font-size:1.5rem;font-weight:700;line-height:1.2}\n"
    ".answer .corner{display:block;font-size:1.3rem;line-height:1.35;max-width:44rem}\n"
    ".within{border-color:var(--green)}.within .verdict{color:var(--green)}\n"
    ".outside{border-color:var(--warm)}.outside .verdict{color:var(--warm)}\n"
    ".cannot-tell{border-color:var(--ochre)}.cannot-tell .verdict{color:var(--ochre)}\n"
    ".advice{font-size:1.1rem}.advice p:first-child{font-weight:600}\n"
    ".pictures{columns:22rem 2;column-gap:2.5rem;margin:1.5rem 0 0}\n"
    "figure{margin:0 0 1.8rem;break-inside:avoid}figure h2{margin:0 0 .5rem}.single{columns:1}\n"
    "svg{display:block;width:100%;max-width:30rem;height:auto}.single svg{max-width:none}\n"
    ".narrow{display:none}\n"
    "table{border-collapse:collapse;margin:.5rem 0;font-variant-numeric:tabular-nums}\n"
    ".tabled{margin:.5rem 0;break-inside:auto}figcaption{color:var(--quiet)}.tabled table{margin:0}\n"
    "th,td{text-align:left;vertical-align:top;padding:.25rem .9rem .25rem 0;border-bottom:1px solid "
    "var(--rule);overflow-wrap:anywhere}\n"
    "th{font-weight:600}\n"
    ".short th:not(:last-child),.short td:not(:last-child){white-space:nowrap}\n"
    "dl{display:grid;grid-template-columns:max-content 1fr;gap:.2rem 1rem;margin:.5rem 0}\n"
    "dt{color:var(--quiet)}dd{margin:0;min-width:0;overflow-wrap:anywhere}\n"
    ".withdrawn{border:2px solid var(--warm);padding:.5rem 1rem;font-weight:600}\n"
    ".later{border:1px solid var(--rule);padding:.4rem 1rem;margin:.6rem 0}\n"
    "article+article{border-top:2px solid var(--rule);margin-top:3rem;padding-top:2rem}\n"
    "footer{margin-top:2rem;border-top:1px solid var(--rule);padding-top:.5rem;color:var(--quiet)}\n"
    "code{font:.95em/1.5 ui-monospace,monospace;overflow-wrap:anywhere}\n";

constexpr Literal kNarrow =
    "@media screen and (max-width:40rem){\n"
    ".wide{display:none}.narrow{display:block}\n"
    ".answer .verdict{font-size:1.35rem}.answer .corner{font-size:1.15rem}\n"
    "dl{grid-template-columns:1fr;gap:0}dd{margin:0 0 .4rem}\n"
    ".stack,.stack tbody,.stack tr,.stack td{display:block;width:100%}\n"
    ".stack thead{position:absolute;width:1px;height:1px;overflow:hidden;"
    "clip-path:inset(50%)}\n"
    ".stack tr{border-bottom:1px solid var(--rule);padding:.4rem 0}\n"
    ".stack td{border:0;padding:.05rem 0 .05rem 7.5rem;position:relative;min-height:1.5em}\n"
    ".stack td::before{content:attr(data-head);position:absolute;left:0;width:7rem;color:var(--quiet)}\n"
    "}\n";

constexpr Literal kPrint =
    "@page{margin:14mm}\n"
    "@media print{\n"
    "html{font-size:10.5pt;line-height:1.4;print-color-adjust:exact;-webkit-print-color-adjust:exact}\n"
    "body{padding:0;max-width:none}\n"
    "h2{margin:1.2rem 0 .3rem;break-after:avoid}p,li{orphans:2;widows:2}p,ul,ol,figcaption{max-width:none}\n"
    "figcaption{break-after:avoid}\n"
    ".pictures{columns:2;column-gap:1.5rem}.single{columns:1}figure{margin:0 0 1rem}\n"
    "figure,tr,.answer,dl,.keep,.tabled.keep{break-inside:avoid}.tabled{break-inside:auto;margin:.3rem "
    "0}article+article{break-before:page;border:0}\n"
    "}\n";

/// What only the wall card, the bench sheet and the client's sheet use.
constexpr Literal kSheets =
    ".card{max-width:50rem}.card p,.sheet p,.card li,.sheet li{max-width:none}.card "
    "h1{font-size:2.4rem;color:var(--ink);margin:0;line-height:1.15}\n"
    ".card .big{font-size:1.7rem;line-height:1.3;margin:.4rem 0}.card table{width:100%;font-size:1.35rem}\n"
    ".card th,.card td{padding:.35rem .8rem .35rem 0}.card li,.card p{font-size:1.15rem}\n"
    ".sheet h1{font-size:1.5rem;line-height:1.2;color:var(--ink);margin:0 0 .3rem}\n"
    ".fill{display:flex;flex-wrap:wrap;gap:.4rem 1.5rem;margin:.6rem 0}\n"
    ".fill b{font-weight:400;white-space:nowrap}.fill span{display:flex;gap:.5rem;align-items:end;flex:1 1 "
    "15rem}.fill i{flex:1;border-bottom:1px solid "
    "var(--ink);height:1.7em}\n"
    ".boxes{width:100%;table-layout:fixed}.boxes td,.boxes th{border:1.5px solid var(--ink);padding:.3rem "
    ".4rem}\n"
    ".boxes td{height:2.3rem}.boxes th{border-width:1px;font-size:.95rem}\n"
    ".beside{display:flex;flex-wrap:wrap;gap:.5rem 2rem;align-items:start}.beside>figure{flex:1 1 18rem;"
    "max-width:30rem;margin:.5rem 0}.beside>div{flex:1.4 1 20rem;min-width:0}\n"
    ".drawn{display:flex;flex-wrap:wrap;gap:.4rem 2rem;align-items:flex-end;margin:.4rem 0}.drawn "
    "b{font-weight:400;"
    "color:var(--quiet);font-size:.9em}.drawn pre{margin:.1rem 0;font:.8rem/1.15 ui-monospace,monospace}\n"
    ".sheet .steps{max-width:none}.sheet .steps li{margin:.1rem 0}\n"
    "@media screen and (max-width:40rem){.card table{font-size:1rem}.card .boxes "
    "th{font-size:.65rem;padding:.3rem .2rem}"
    ".card th,.card td{padding-right:.5rem}}\n"
    "@page sheet{margin:10mm 12mm}\n"
    "@media print{.sheet{page:sheet}.card h1{font-size:26pt}.card .big{font-size:18pt;margin:.2rem 0}.card "
    "table{font-size:15pt}"
    ".sheet h2{margin:.5rem 0 .15rem}.sheet "
    ".steps{columns:2;column-gap:2.5rem;font-size:.85em;line-height:1.22;margin:.2rem 0}.sheet .steps "
    "li{break-inside:avoid}.sheet .boxes td{height:1.95rem}.sheet figure{margin:0 0 .3rem}"
    ".sheet ul{columns:3;column-gap:1.5rem;font-size:.84em;line-height:1.25}.sheet "
    "li{break-inside:avoid;margin:.1rem 0}.sheet .tabled{margin:.2rem 0}.sheet figure "
    "svg{max-width:21rem}.sheet .fill{margin:.3rem 0}.sheet p{margin:.2rem 0}.sheet .fill span{flex:1 1 "
    "11rem}}\n";

Sheet page_sheet() {
  Sheet sheet;
  name_colours(sheet, false);
  sheet.push_back("@media screen and (prefers-color-scheme:dark){\n");
  name_colours(sheet, true);
  sheet.push_back("}\n");
  for (const Literal piece : {kLook, kNarrow, kPrint, kSheets}) sheet.push_back(piece);
  for (const Literal piece : drawing_sheet()) sheet.push_back(piece);
  return sheet;
}

}  // namespace

std::string page_of(const std::string& title, Literal kind, const Markup& body) {
  Markup page;
  page.doctype();
  page.open("html", {{"lang", "en"}});
  page.open("head");
  page.empty("meta", {{"charset", "utf-8"}});
  // Whatever a name may hold: nothing is loaded and nothing runs.
  page.empty("meta", {{"http-equiv", "Content-Security-Policy"},
                      {"content", "default-src 'none'; style-src 'unsafe-inline'"}});
  page.empty("meta", {{"name", "viewport"}, {"content", "width=device-width, initial-scale=1"}});
  page.element("title", title);
  page.style(page_sheet());
  page.close();
  page.open("body", {{"class", kind.view()}}).add(body).close();
  page.close();
  return page.whole();
}

std::string unbroken(const std::string& text) {
  constexpr std::string_view kBound = "\u00A0";
  const auto digit = [](char c) { return c >= '0' && c <= '9'; };
  std::string out;
  for (std::size_t k = 0; k < text.size(); ++k) {
    const std::string_view rest = std::string_view(text).substr(k + 1);
    bool binds = false;
    if (text[k] == ' ' && k > 0 && digit(text[k - 1])) {
      binds = rest.starts_with("±") || rest.starts_with("%");
      for (const std::string_view unit : {"mm", "in", "min"}) {
        const bool ends = rest.size() == unit.size() ||
                          (rest.size() > unit.size() && (rest[unit.size()] < 'a' || rest[unit.size()] > 'z'));
        binds = binds || (rest.starts_with(unit) && ends);
      }
    }
    binds = binds || (text[k] == ' ' && std::string_view(text).substr(0, k).ends_with("±") && !rest.empty() &&
                      digit(rest[0]));
    if (binds)
      out += kBound;
    else
      out += text[k];
  }
  return out;
}

void paragraphs(Markup& markup, const std::string& text) {
  std::istringstream lines(text);
  bool listed = false;
  for (std::string line; std::getline(lines, line);) {
    const std::size_t at = line.find_first_not_of(' ');
    if (at == std::string::npos) continue;
    const bool item = line.compare(at, 2, "- ") == 0;
    if (item != listed) {
      if (item)
        markup.open("ul");
      else
        markup.close();
      listed = item;
    }
    if (item)
      markup.element("li", unbroken(line.substr(at + 2)));
    else if (at > 0)
      markup.element("p", unbroken(line.substr(at)), {{"class", "back"}});
    else
      markup.element("p", unbroken(line));
  }
  if (listed) markup.close();
}

void bullets(Markup& markup, const std::vector<std::string>& lines) {
  markup.open("ul");
  for (const auto& line : lines) markup.element("li", line);
  markup.close();
}

void table(Markup& markup, const std::string& caption, const Cells& heads, const std::vector<Cells>& rows,
           Literal kind) {
  // A caption of its own would be no wider than its table; and a short table goes to the next page whole.
  markup.open("figure", {{"class", rows.size() * heads.size() <= kMostKeptCells ? "tabled keep" : "tabled"}});
  if (!caption.empty()) markup.element("figcaption", unbroken(caption));
  markup.open("table", {{"class", kind.view()}});
  markup.open("thead").open("tr");
  for (const auto& head : heads) markup.element("th", head, {{"scope", "col"}});
  markup.close().close();
  markup.open("tbody");
  for (const auto& row : rows) {
    markup.open("tr");
    for (std::size_t k = 0; k < row.size(); ++k)
      markup.element("td", unbroken(row[k]), {{"data-head", heads[k]}});
    markup.close();
  }
  markup.close().close().close();
}

void care_section(Markup& markup, units::Unit unit) {
  markup.open("section", {{"class", "keep"}}).element("h2", "Care");
  bullets(markup, care_lines(unit));
  markup.close();
}

}  // namespace quarterturn::report
