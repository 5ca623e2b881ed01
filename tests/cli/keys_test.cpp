// SPDX-License-Identifier: MIT
#include "cli/keys.hpp"

#include <doctest/doctest.h>

using namespace quarterturn;

namespace {

std::wstring keys_in(const std::string& bytes) {
  cli::Keys keys;
  keys.take(bytes);
  std::wstring all;
  while (const auto key = keys.next()) all += *key;
  return all;
}

/// The same bytes one by one, as a slow line sends them.
std::wstring keys_slowly(const std::string& bytes) {
  cli::Keys keys;
  std::wstring all;
  for (const char byte : bytes) {
    keys.take({&byte, 1});
    while (const auto key = keys.next()) all += *key;
  }
  return all;
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("bytes become the same keys however they are cut") {
    const struct {
      std::string bytes;
      std::wstring keys;
    } rows[] = {
        {"1½ é▸𝟙", L"1½ é▸𝟙"},
        {"a\rb\nc\r\nd", L"a\nb\nc\nd"},
        {"\r\r\n\n", L"\n\n\n"},
        {"\x1b[A\x1bOB\x1b[C\x1b[D", L"\x10\x0e\x06\x02"},
        {"\x1b[H\x1b[1~\x1bOH\x1b[F\x1b[4~\x1b[8~", L"\x01\x01\x01\x05\x05\x05"},
        {"\x1b[3~", {cli::kKeyDelete}},
        {"\x1b[1;5D\x1b[1;3C\x1b"
         "b\x1b"
         "f\x1b\x7f",
         {cli::kKeyWordLeft, cli::kKeyWordRight, cli::kKeyWordLeft, cli::kKeyWordRight, cli::kKeyWordAway}},
        // Keys without a meaning here leave nothing of their digits; after Esc a digit is a digit.
        {"2\x1b[15~2\x1b[200~.\x1b[201~7\x1b[[A4\x1bOP", L"22.74"},
        {"\x1b"
         "2\x1b\x1b"
         "2",
         L"22"},
        {"a\x1b[12\rb", L"a\nb"},
        {"\xc2\x81\xc2\x9b", L""},  // nobody can type a named key
        {std::string("a\0b", 3), L"ab"},
    };
    for (const auto& row : rows) {
      CAPTURE(row.bytes);
      CHECK((keys_in(row.bytes) == row.keys));
      CHECK((keys_slowly(row.bytes) == row.keys));
    }
  }

  TEST_CASE("no byte is lost: what is no UTF-8 comes back as it was sent") {
    for (const std::string bytes :
         {"1\xbd",
          "\xff\xfe"
          "22",
          "\xe2\x96 x", "\xc0\xaf", "\xed\xa0\x80!", "\xf5\x80\x80\x80 ", "½ é ▸ 𝟙"}) {
      CAPTURE(bytes);
      CHECK(cli::bytes_of(keys_in(bytes)) == bytes);
      CHECK(cli::bytes_of(keys_slowly(bytes)) == bytes);
    }
  }

  TEST_CASE("every character comes back") {
    for (wchar_t code = 0x20; code <= 0x10FFFF; code += code < 0x3000 ? 1 : 257) {
      if ((code >= 0x7F && code <= 0x9F) || (code >= 0xD800 && code <= 0xDFFF)) continue;
      const std::wstring one(1, code);
      if (cli::keys_of(cli::bytes_of(one)) != one) FAIL(static_cast<long>(code));
    }
  }

  TEST_CASE("whether more was sent behind a key") {
    cli::Keys keys;
    keys.take("a\tb");
    CHECK(*keys.next() == L'a');
    CHECK(keys.more());
    keys.next();
    keys.next();
    CHECK_FALSE(keys.more());
    keys.take("\x1b[1");
    CHECK_FALSE(keys.next());
    CHECK(keys.more());
  }
}
