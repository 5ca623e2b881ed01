// SPDX-License-Identifier: MIT
/// The reader of schemas that other tests rely on, on small schemas written for this: what each keyword lets
/// pass and what it stops, as the standard (JSON Schema 2020-12, core and validation) has it.
#include "support/json_schema.hpp"

#include <doctest/doctest.h>

using namespace quarterturn;
using Json = test::SchemaJson;

namespace {

bool fits(const char* schema, const char* document, test::OtherKeys other = test::OtherKeys::as_schema_says) {
  return test::schema_faults(Json::parse(schema), Json::parse(document), other).empty();
}

}  // namespace

TEST_SUITE("house") {
  TEST_CASE("schemas: types, words and limits") {
    CHECK(fits(R"({"type":"number"})", "3"));
    CHECK(!fits(R"({"type":"number"})", "\"3\""));
    CHECK(fits(R"({"type":"integer"})", "3.0"));
    CHECK(!fits(R"({"type":"integer"})", "3.5"));
    CHECK(fits(R"({"type":["number","null"]})", "null"));
    CHECK(!fits(R"({"type":["number","null"]})", "false"));
    CHECK(!fits(R"({"type":"object"})", "[]"));
    CHECK(!fits(R"({"type":"array"})", "{}"));
    CHECK(fits(R"({"enum":["a","b",1]})", "1"));
    CHECK(!fits(R"({"enum":["a","b"]})", "\"c\""));
    CHECK(!fits(R"({"const":"a"})", "\"b\""));
    CHECK(fits(R"({"minimum":0,"maximum":1})", "0"));
    CHECK(!fits(R"({"minimum":0})", "-1e-300"));
    CHECK(!fits(R"({"maximum":1})", "1.0000001"));
    CHECK(!fits(R"({"exclusiveMinimum":0})", "0"));
    CHECK(!fits(R"({"exclusiveMaximum":180})", "180"));
    CHECK(fits(R"({"minimum":5})", "\"not a number\""));
    CHECK(!fits(R"({"minLength":1})", "\"\""));
    CHECK(fits(R"({"pattern":"b"})", "\"abc\""));  // found anywhere unless it is anchored
    CHECK(!fits(R"({"pattern":"^b"})", "\"abc\""));
  }

  TEST_CASE("schemas: objects and lists") {
    CHECK(!fits(R"({"required":["a"]})", "{}"));
    CHECK(fits(R"({"required":["a"]})", "[]"));
    CHECK(!fits(R"({"properties":{"a":{"type":"string"}}})", R"({"a":1})"));
    CHECK(fits(R"({"properties":{"a":{"type":"string"}}})", R"({"b":1})"));
    CHECK(!fits(R"({"properties":{"a":true},"additionalProperties":false})", R"({"b":1})"));
    CHECK(!fits(R"({"additionalProperties":{"type":"string"}})", R"({"b":1})"));
    CHECK(!fits(R"({"properties":{"a":false}})", R"({"a":1})"));
    CHECK(!fits(R"({"items":{"type":"number"}})", R"([1,"2"])"));
    CHECK(!fits(R"({"minItems":2})", "[1]"));
    CHECK(!fits(R"({"maxItems":2})", "[1,2,3]"));
    CHECK(!fits(R"({"properties":{"a":true}})", R"({"b":1})", test::OtherKeys::refused));
    CHECK(fits(R"({"properties":{"a":true}})", R"({"a":1})", test::OtherKeys::refused));
  }

  TEST_CASE("schemas: choices and references") {
    CHECK(!fits(R"({"oneOf":[{"type":"number"},{"minimum":0}]})", "3"));  // both
    CHECK(fits(R"({"oneOf":[{"type":"number"},{"type":"string"}]})", "3"));
    CHECK(!fits(R"({"oneOf":[{"type":"number"},{"type":"string"}]})", "null"));
    CHECK(fits(R"({"anyOf":[{"type":"number"},{"minimum":0}]})", "3"));
    CHECK(!fits(R"({"anyOf":[{"type":"number"},{"type":"string"}]})", "null"));
    CHECK(!fits(R"({"$ref":"#/$defs/n","$defs":{"n":{"type":"number"}}})", "\"a\""));
    CHECK(!fits(R"({"$ref":"#/$defs/n","maximum":1,"$defs":{"n":{"type":"number"}}})", "2"));
  }

  TEST_CASE("schemas: a keyword that is not known here is not passed over") {
    CHECK_THROWS_AS(fits(R"({"uniqueItems":true})", "[]"), std::logic_error);
    CHECK_THROWS_AS(fits(R"({"$ref":"other.json"})", "1"), std::logic_error);
    CHECK_THROWS_AS(fits(R"({"type":"nubmer"})", "1"), std::logic_error);
  }
}
