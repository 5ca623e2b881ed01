// SPDX-License-Identifier: MIT
#include "units/length.hpp"

#include <doctest/doctest.h>

#include <concepts>
#include <string>

#include "support/near.hpp"
#include "units/angle.hpp"
#include "units/tolerance.hpp"

using quarterturn::test::near;
using quarterturn::units::Angle;
using quarterturn::units::Length;

namespace {

template <typename A, typename B>
concept can_add = requires(A a, B b) {
  a + b;
};
template <typename A, typename B>
concept can_multiply = requires(A a, B b) {
  a* b;
};
template <typename A, typename B>
concept can_divide = requires(A a, B b) {
  a / b;
};
template <typename A, typename B>
concept can_compare = requires(A a, B b) {
  a < b;
};

// What must compile, so that the refusals below are not those of a typing slip in a concept.
static_assert(can_add<Length, Length> && can_multiply<double, Length> && can_compare<Angle, Angle>);
static_assert(std::same_as<decltype(Length() / Length()), double>);
static_assert(std::same_as<decltype(Angle() / Angle()), double>);

// A number is no length or angle, and neither becomes a number without naming a unit.
static_assert(!std::convertible_to<double, Length> && !std::constructible_from<Length, double>);
static_assert(!std::convertible_to<double, Angle> && !std::constructible_from<Angle, double>);
static_assert(!std::convertible_to<Length, double> && !std::constructible_from<double, Length>);
static_assert(!std::convertible_to<Angle, double> && !std::constructible_from<double, Angle>);
static_assert(!can_add<Length, double> && !can_add<double, Angle>);
static_assert(!can_compare<Length, double> && !can_compare<Angle, double>);
// A length and an angle never mix but through Angle::over.
static_assert(!can_add<Length, Angle> && !can_compare<Length, Angle> && !can_divide<Length, Angle>);
static_assert(!std::assignable_from<Length&, Angle> && !std::assignable_from<Angle&, Length>);
// An area or a square angle has no type here.
static_assert(!can_multiply<Length, Length> && !can_multiply<Angle, Angle> && !can_multiply<Angle, Length>);
// A tolerance is not made from a bare number either.
static_assert(!std::convertible_to<double, quarterturn::units::Tolerance>);

}  // namespace

TEST_SUITE("units") {
  TEST_CASE("an inch is 25.4 mm exactly") {  // international inch, exact by definition (1959 agreement)
    CHECK(Length::from_inch(1).mm() == 25.4);
    CHECK(near(Length::from_mm(25.4).inch(), 1.0, 1e-15, 0));
  }

  TEST_CASE("a thousandth of a degree over 500 mm is 0.0087 mm") {  // common practice, no source
    CHECK(near(Angle::from_deg(0.001).over(Length::from_mm(500)).mm(), 0.0087, 0, 5e-5));
    CHECK(near(Angle::from_deg(0.001).rad(), 1.7453292519943295e-5, 1e-15, 0));
  }

  TEST_CASE("arithmetic keeps the unit") {
    const Length a = Length::from_mm(3);
    const Length b = Length::from_mm(4.5);
    CHECK((a + b).mm() == 7.5);
    CHECK((a - b).mm() == -1.5);
    CHECK((2.0 * a).mm() == 6.0);
    CHECK((a / 2.0).mm() == 1.5);
    CHECK(b / a == 1.5);
    CHECK(-a < b);
    CHECK(near(Angle::from_rad(0.5).deg(), 28.64788975654116, 1e-14, 0));
  }
}
