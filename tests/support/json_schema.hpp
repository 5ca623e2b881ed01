// SPDX-License-Identifier: MIT
/// \file json_schema.hpp
/// Holds a JSON document to a schema: the keywords of JSON Schema 2020-12 that data/schema uses.
///
/// Knows     boolean schemas, $ref within the file, type, enum, const, properties, required,
///           additionalProperties, items, minItems, maxItems, minimum, maximum, exclusiveMinimum,
///           exclusiveMaximum, minLength (of 1), pattern, oneOf, anyOf
/// Refuses   any other keyword, so that none is believed to be held to and is not
/// Held to   a second reading of the same standard by tests/peers/schemas.py
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

namespace quarterturn::test {

using SchemaJson = nlohmann::ordered_json;

enum class OtherKeys { as_schema_says, refused };  ///< refused: every key must be described, whatever joins

/// What is wrong with the document, each with its place; empty: nothing.
/// \throws std::logic_error when the schema uses what is not known here
std::vector<std::string> schema_faults(const SchemaJson& schema, const SchemaJson& document,
                                       OtherKeys other = OtherKeys::as_schema_says);

}  // namespace quarterturn::test
