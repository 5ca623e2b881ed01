// SPDX-License-Identifier: MIT
#include "report/markup.hpp"

#include <doctest/doctest.h>

#include <stdexcept>
#include <type_traits>

#include "report/page.hpp"
#include "support/strict_markup.hpp"

using namespace quarterturn;
using report::Literal;
using report::Markup;
using test::StrictMarkup;

TEST_SUITE("report") {
  TEST_CASE("names of elements and attributes cannot come from a file") {
    CHECK(!std::is_constructible_v<Literal, std::string>);
    CHECK(!std::is_constructible_v<Literal, std::string_view>);
    CHECK(!std::is_constructible_v<report::Attribute, std::string, std::string>);
  }

  TEST_CASE("whatever stands in a text stays a text") {
    const std::string hostile[] = {"</p><script>alert(1)</script>",
                                   "\" onmouseover=\"alert(1)",
                                   "' onload='x",
                                   "<img src=x onerror=alert(1)>",
                                   "&lt;script&gt; & &amp; &#60;",
                                   "]]><!--",
                                   "\x1b[2Jgone\x07",
                                   "\u202Etxt.exe\u202C \u2066a\u2069",
                                   std::string("nul\0byte", 8),
                                   "bad utf-8 \xff\xc0\xaf\xed\xa0\x80",
                                   "javascript:alert(1)"};
    for (const auto& text : hostile) {
      Markup markup;
      markup.open("p", {{"title", text}}).text(text).close();
      INFO(markup.whole());
      const StrictMarkup read(markup.whole());
      REQUIRE(read.elements().size() == 1);
      CHECK(read.elements()[0].attributes.size() == 1);
      const auto& shown = read.elements()[0].text;
      CHECK(read.elements()[0].attributes.at("title") == shown);
      for (const char* never : {"\x1b", "\x07", "\u202E", "\u2066", "\xff"})
        CHECK(shown.find(never) == std::string::npos);
    }
    Markup plain;
    plain.element("p", "Ferhat's <b> & \"90°\" ± ½\tx\ny");
    CHECK(StrictMarkup(plain.whole()).elements()[0].text == "Ferhat's <b> & \"90°\" ± ½\tx\ny");
  }

  TEST_CASE("what is left open, or closed once too often, is our bug and is told") {
    Markup open;
    open.open("p");
    CHECK_THROWS_AS((void)open.whole(), std::logic_error);
    CHECK_THROWS_AS(Markup().close(), std::logic_error);
  }

  TEST_CASE("numbers of drawings are short and the same in every locale") {
    CHECK(report::Attribute("x", 12.5).value == "12.5");
    CHECK(report::Attribute("x", 3.0).value == "3");
    CHECK(report::Attribute("x", 100.0).value == "100");
    CHECK(report::Attribute("x", -0.001).value == "0");
    CHECK(report::Attribute("x", 1234567.891).value == "1234567.89");
  }

  TEST_CASE("paragraphs: lines, what stands back, lists") {
    Markup markup;
    report::paragraphs(markup, "one\n  two\n- three\n- four\n\nfive\n- six\n");
    const StrictMarkup read(markup.whole());
    REQUIRE(read.named("p").size() == 3);
    CHECK(read.named("p")[1]->attributes.at("class") == "back");
    CHECK(read.named("ul").size() == 2);
    CHECK(read.named("li").size() == 3);
    CHECK(read.named("li")[2]->text == "six");
  }

  TEST_CASE("the reader of these tests refuses what is not well-formed") {
    for (const char* bad : {"<p>", "<p></b>", "<p a=1></p>", "<p a=\"1\" a=\"2\"></p>", "<p>&nbsp;</p>",
                            "<p>a & b</p>", "<p>a > b</p>", "text", "<br>", "<p a=\"<\"></p>"}) {
      INFO(bad);
      CHECK_THROWS_AS(StrictMarkup{bad}, std::runtime_error);
    }
  }
}
