// SPDX-License-Identifier: MIT
/// \file mutant.hpp
/// What tests/deep/mutants.py writes into a copy of the sources: every mutant of a file is compiled in at
/// once, and QUARTERTURN_MUTANT says by its number which of them is at work; none when it is not set.
///
/// In       the environment; `a + b` stands in the copy as `a + M<17, '+'>{} + b`, so that precedence stays
/// Out      the values of the sources, or of the one mutant
/// Assumes  a type that does not know the other operator has no mutant: the run ends with kNoMutant then
#pragma once

#include <cstdio>
#include <cstdlib>
#include <type_traits>

namespace mutant {

constexpr int kNoMutant = 77;

inline const int active = [] {
  const char* number = std::getenv("QUARTERTURN_MUTANT");
  return number != nullptr ? std::atoi(number) : 0;
}();

inline bool at_work(int id) {
  if (active != id) return false;
  static const bool said = std::fputs("mutant reached\n", stderr) >= 0;
  return said;
}

[[noreturn]] inline void none() {
  std::_Exit(kNoMutant);
}

// Always inlined: where a function is compiled for wider registers than the rest, what is called without them
// would take its arguments otherwise than they are handed over.
#define MUTANT_INLINE [[gnu::always_inline]] inline

template <int Id, int Op>
struct M {};
template <class L, int Id, int Op>
struct Half {
  const L& l;
};

// Expressions of matrices are evaluated: the two operators have different types there.
template <class A, class B>
constexpr bool kSame = std::is_same_v<std::decay_t<A>, std::decay_t<B>>;

#define MUTANT_BINARY(OP, OTHER, WORD)                                   \
  template <class L, int Id>                                             \
  MUTANT_INLINE Half<L, Id, WORD> operator OP(const L& l, M<Id, WORD>) { \
    return {l};                                                          \
  }                                                                      \
  template <class L, int Id, class R>                                    \
  MUTANT_INLINE auto operator OP(Half<L, Id, WORD> h, const R& r) {      \
    if constexpr (requires { h.l OTHER r; }) {                           \
      if constexpr (kSame<decltype(h.l OP r), decltype(h.l OTHER r)>) {  \
        if (at_work(Id)) return h.l OTHER r;                             \
        return h.l OP r;                                                 \
      } else if constexpr (requires {                                    \
                             (h.l OP r).eval();                          \
                             (h.l OTHER r).eval();                       \
                           }) {                                          \
        auto value = (h.l OP r).eval();                                  \
        if (at_work(Id)) value = (h.l OTHER r).eval();                   \
        return value;                                                    \
      } else {                                                           \
        if (at_work(Id)) none();                                         \
        return h.l OP r;                                                 \
      }                                                                  \
    } else {                                                             \
      if (at_work(Id)) none();                                           \
      return h.l OP r;                                                   \
    }                                                                    \
  }

MUTANT_BINARY(+, -, 1)
MUTANT_BINARY(-, +, 2)
MUTANT_BINARY(*, /, 3)
MUTANT_BINARY(/, *, 4)

// Whole numbers are moved over their limit by one; elsewhere, where a tie is next to impossible, the
// comparison is turned about.
#define MUTANT_COMPARE(OP, AT_TIE, TURNED, WORD)                         \
  template <class L, int Id>                                             \
  MUTANT_INLINE Half<L, Id, WORD> operator OP(const L& l, M<Id, WORD>) { \
    return {l};                                                          \
  }                                                                      \
  template <class L, int Id, class R>                                    \
  MUTANT_INLINE bool operator OP(Half<L, Id, WORD> h, const R& r) {      \
    if constexpr (std::is_integral_v<L> && std::is_integral_v<R>)        \
      return at_work(Id) ? h.l AT_TIE r : h.l OP r;                      \
    else if constexpr (requires { h.l TURNED r; })                       \
      return at_work(Id) ? h.l TURNED r : h.l OP r;                      \
    else if (at_work(Id))                                                \
      none();                                                            \
    return h.l OP r;                                                     \
  }

MUTANT_COMPARE(<, <=, >=, 5)
MUTANT_COMPARE(<=, <, >, 6)
MUTANT_COMPARE(>, >=, <=, 7)
MUTANT_COMPARE(>=, >, <, 8)
MUTANT_COMPARE(==, !=, !=, 9)
MUTANT_COMPARE(!=, ==, ==, 10)

/// A condition, or its contrary.
template <int Id>
bool condition(bool value) {
  return at_work(Id) ? !value : value;
}

/// `-x` stands as `Minus<17>{} * x`.
template <int Id>
struct Minus {};
template <int Id, class R>
MUTANT_INLINE auto operator*(Minus<Id>, const R& r) {
  if constexpr (requires { r.eval(); }) {
    auto value = r.eval();
    if (!at_work(Id)) value = -r.eval();
    return value;
  } else {
    return at_work(Id) ? static_cast<decltype(-r)>(r) : -r;
  }
}

/// `a += b;` stands as `a += more<17>(b);`
template <int Id, class R>
MUTANT_INLINE auto more(const R& r) {
  return Minus<Id>{} * (-r);
}

/// A number: the next whole one, twice the value, or 1 for 0.
template <int Id, class T>
MUTANT_INLINE T number(T value) {
  if (!at_work(Id)) return value;
  if constexpr (std::is_integral_v<T>)
    return static_cast<T>(value + 1);
  else
    return value == 0 ? T{1} : 2 * value;
}

/// Whether a statement is there.
template <int Id>
bool kept() {
  return !at_work(Id);
}

}  // namespace mutant
