// SPDX-License-Identifier: MIT
// Reads the program that was built, as the loader would: where it may be laid, what may be written and run in
// it, and that its frames are guarded. Only of the static build that is shipped.
#include <doctest/doctest.h>

#include <elf.h>

#include <algorithm>
#include <cstring>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#ifdef QUARTERTURN_HARDENED

namespace {

using Bytes = std::vector<char>;

Bytes bytes_of(const char* file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

template <class Record>
Record record_at(const Bytes& bytes, std::size_t at) {
  REQUIRE(at + sizeof(Record) <= bytes.size());
  Record record{};
  std::memcpy(&record, bytes.data() + at, sizeof record);
  return record;
}

template <class Record>
std::vector<Record> table_at(const Bytes& bytes, std::size_t at, std::size_t count) {
  std::vector<Record> table;
  for (std::size_t i = 0; i < count; ++i) table.push_back(record_at<Record>(bytes, at + i * sizeof(Record)));
  return table;
}

std::vector<Elf64_Phdr> segments(const Bytes& bytes, Elf64_Word type) {
  const auto head = record_at<Elf64_Ehdr>(bytes, 0);
  std::vector<Elf64_Phdr> found;
  for (const auto& segment : table_at<Elf64_Phdr>(bytes, head.e_phoff, head.e_phnum))
    if (segment.p_type == type) found.push_back(segment);
  return found;
}

/// Value of an entry of the dynamic section; 0 where there is none.
Elf64_Xword dynamic_value(const Bytes& bytes, Elf64_Sxword tag) {
  for (const auto& segment : segments(bytes, PT_DYNAMIC))
    for (const auto& entry :
         table_at<Elf64_Dyn>(bytes, segment.p_offset, segment.p_filesz / sizeof(Elf64_Dyn)))
      if (entry.d_tag == tag) return entry.d_un.d_val;
  return 0;
}

/// Whether the objects of an archive name a symbol: only our own sources are in it, so that what the system's
/// archives bring along does not count.
bool named(const Bytes& archive, const std::string& symbol) {
  const std::string whole = '\0' + symbol + '\0';
  return std::search(archive.begin(), archive.end(), whole.begin(), whole.end()) != archive.end();
}

}  // namespace

TEST_SUITE("house") {
  TEST_CASE("the program can be laid anywhere, and needs no other file to run") {
    const Bytes bytes = bytes_of(QUARTERTURN_PROGRAM);
    const auto head = record_at<Elf64_Ehdr>(bytes, 0);
    REQUIRE(std::memcmp(head.e_ident, ELFMAG, SELFMAG) == 0);
    CHECK(head.e_type == ET_DYN);
    CHECK((dynamic_value(bytes, DT_FLAGS_1) & DF_1_PIE) != 0);
    CHECK(segments(bytes, PT_INTERP).empty());
    CHECK(dynamic_value(bytes, DT_NEEDED) == 0);
  }

  TEST_CASE("nothing in the program can be written and run; tables of addresses are read-only once it runs") {
    const Bytes bytes = bytes_of(QUARTERTURN_PROGRAM);
    const auto stack = segments(bytes, PT_GNU_STACK);
    REQUIRE(stack.size() == 1);
    CHECK((stack[0].p_flags & PF_X) == 0);
    const auto loaded = segments(bytes, PT_LOAD);
    REQUIRE(loaded.size() > 1);
    for (const auto& segment : loaded) CHECK((segment.p_flags & (PF_W | PF_X)) != (PF_W | PF_X));
    CHECK(segments(bytes, PT_GNU_RELRO).size() == 1);
    CHECK((dynamic_value(bytes, DT_FLAGS_1) & DF_1_NOW) != 0);
  }

  TEST_CASE("our own frames are guarded, and calls that know their buffer's size check it") {
    const Bytes library = bytes_of(QUARTERTURN_LIBRARY), words = bytes_of(QUARTERTURN_WORDS);
    REQUIRE(library.size() > 1000);
    REQUIRE(words.size() > 1000);
    for (const Bytes* archive : {&library, &words}) {
      CHECK(named(*archive, "__stack_chk_fail"));
      CHECK(!named(*archive, "__no_such_symbol"));
    }
    CHECK((named(library, "__snprintf_chk") || named(library, "__vsnprintf_chk")));
  }

  TEST_CASE("nothing of ours calls what opens a connection or starts another program") {
    const Bytes library = bytes_of(QUARTERTURN_LIBRARY), words = bytes_of(QUARTERTURN_WORDS);
    CHECK(named(library, "fsync"));  // what is called is found
    for (const char* call : {"socket", "connect", "bind", "getaddrinfo", "gethostbyname", "sendto", "execve",
                             "execvp", "execl", "posix_spawn", "posix_spawnp", "system", "popen"}) {
      CAPTURE(call);
      CHECK(!named(library, call));
      CHECK(!named(words, call));
    }
  }
}

#endif
