# SPDX-License-Identifier: MIT
# Sourced by the two commands: which Debian packages they need, and how they are installed and built.
# shellcheck shell=bash disable=SC2034

BUILD_PACKAGES=(g++ cmake ninja-build libeigen3-dev libboost-math-dev libcli11-dev libfmt-dev nlohmann-json3-dev
  libedit-dev libncurses-dev libbsd-dev libmd-dev libhowardhinnant-date-dev libsqlite3-dev libsqlitecpp-dev)
TEST_PACKAGES=(doctest-dev libgsl-dev)
PEERS_PACKAGES=(r-base-core r-cran-nlme r-cran-lme4 r-cran-pbkrtest r-cran-metafor r-cran-strucchange r-cran-mass
  python3-jsonschema) # a second reader of data/schema
BROWSER_PACKAGES=(chromium fonts-dejavu-core python3)
BENCH_PACKAGES=(r-base-core r-cran-nlme r-cran-lme4 r-cran-rsqlite python3-numpy python3-scipy libsuitesparse-dev sqlite3)
GUARD_PACKAGES=(valgrind)
SANITIZER_PACKAGES=(clang libclang-rt-14-dev)
TIDY_PACKAGES=(clang-tidy clang-format cppcheck)

# Programs speak one language here, whatever the machine's locale; glibc itself provides this one.
export LC_ALL=C.UTF-8

# as_root COMMAND...: through sudo only where it is needed.
as_root() {
  if [ "$(id -u)" -eq 0 ]; then
    "$@"
  elif command -v sudo >/dev/null; then
    sudo "$@"
  else
    echo "Not root, and there is no sudo. As root, run:  $*" >&2
    return 1
  fi
}

# missing_packages PACKAGE...: those that are not installed, one a line.
missing_packages() {
  local installed
  # dpkg-query fails when it has never heard of one of the packages; what it knows it still prints.
  # shellcheck disable=SC2016
  installed=$(dpkg-query -W -f '${db:Status-Status} ${Package}\n' "$@" 2>/dev/null || true)
  local package
  for package in "$@"; do
    case $'\n'"$installed"$'\n' in
      *$'\n'"installed $package"$'\n'*) ;;
      *) printf '%s\n' "$package" ;;
    esac
  done
}

# install_packages PACKAGE...: nothing missing, nothing said, nothing done.
install_packages() {
  if ! command -v dpkg-query >/dev/null || ! command -v apt-get >/dev/null; then
    echo "No apt-get on this system; going on as if these were installed by other means: $*" >&2
    return 0
  fi
  local -a missing
  mapfile -t missing < <(missing_packages "$@")
  [ "${#missing[@]}" -gt 0 ] || return 0
  echo "Installing with apt-get: ${missing[*]}"
  local -a apt=(env DEBIAN_FRONTEND=noninteractive apt-get -q -o Dpkg::Use-Pty=0)
  local log
  log=$(mktemp)
  # A mirror that is down for a moment should not cost the whole run.
  if ! as_root "${apt[@]}" -o Acquire::Retries=3 update </dev/null >"$log" 2>&1 ||
    ! as_root "${apt[@]}" -o Acquire::Retries=3 install -y --no-install-recommends "${missing[@]}" </dev/null >>"$log" 2>&1; then
    tail -n 20 "$log" >&2
    rm -f "$log"
    echo "apt-get could not install: ${missing[*]}" >&2
    return 1
  fi
  rm -f "$log"
}

# jobs_at_once: one a processor; ninja's own default adds two, which small machines feel.
jobs_at_once() { nproc 2>/dev/null || echo 2; }

# cached NAME DIR: a value of an existing build folder, or nothing.
cached() {
  [ ! -e "$2/CMakeCache.txt" ] || sed -n "s/^$1:[A-Z]*=//p" "$2/CMakeCache.txt"
}

# configure PRESET DIR [-DNAME=VALUE...]: starts over only in a folder that was made for another place or generator.
configure() {
  local preset=$1 dir=$2
  shift 2
  local -a fresh=()
  if [ -e "$dir/CMakeCache.txt" ]; then
    if [ "$(cached CMAKE_HOME_DIRECTORY "$dir")" != "$(pwd -P)" ] || [ "$(cached CMAKE_GENERATOR "$dir")" != Ninja ]; then
      echo "$dir/ was made for another place or generator: configuring it anew"
      fresh=(--fresh)
    fi
  fi
  local log
  log=$(mktemp)
  if ! cmake --preset "$preset" "${fresh[@]}" "$@" >"$log" 2>&1; then
    cat "$log" >&2
    rm -f "$log"
    return 1
  fi
  rm -f "$log"
}

# build PRESET [TARGET...]
build() {
  local preset=$1
  shift
  local -a targets=()
  [ $# -eq 0 ] || targets=(--target "$@")
  cmake --build --preset "$preset" --parallel "$(jobs_at_once)" "${targets[@]}"
}
