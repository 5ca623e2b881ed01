# SPDX-License-Identifier: MIT
# Writes what the program says of itself, and the licences of what is linked into it, as files below INTO.
#   cmake -D PROGRAM=build/quarterturn -D INTO=build/system -P system_files.cmake
function(say into)
  execute_process(COMMAND ${PROGRAM} ${ARGN} OUTPUT_FILE ${into} COMMAND_ERROR_IS_FATAL ANY)
endfunction()

file(REMOVE_RECURSE ${INTO})
file(MAKE_DIRECTORY ${INTO}/man1 ${INTO}/bash ${INTO}/zsh ${INTO}/fish)
say(${INTO}/bash/quarterturn --completion bash)
say(${INTO}/zsh/_quarterturn --completion zsh)
say(${INTO}/fish/quarterturn.fish --completion fish)

say(${INTO}/man1/quarterturn.1 --man-page quarterturn)
file(STRINGS ${INTO}/man1/quarterturn.1 named REGEX "quarterturn.*-[a-z]+.fR.1.$")
foreach(line ${named})
  string(REGEX REPLACE ".*quarterturn[^a-z]+([a-z]+).fR.1.$" "\\1" word "${line}")
  say(${INTO}/man1/quarterturn-${word}.1 --man-page ${word})
endforeach()
find_program(GZIP gzip)
file(GLOB pages ${INTO}/man1/*.1)
if(GZIP)
  execute_process(COMMAND ${GZIP} -9n ${pages} COMMAND_ERROR_IS_FATAL ANY)
endif()

# Notices go with the program as the distribution has them.
foreach(package libeigen3-dev libboost1*-dev libcli11-dev libfmt-dev nlohmann-json3-dev libsqlite3-dev libsqlitecpp-dev
    libedit-dev libbsd-dev libmd-dev libncurses-dev libhowardhinnant-date-dev libc6-dev libstdc++-*-dev)
  file(GLOB found /usr/share/doc/${package}/copyright)
  foreach(notice ${found})
    string(REGEX REPLACE ".*/doc/([^/]+)/copyright" "\\1" name ${notice})
    configure_file(${notice} ${INTO}/licences/${name} COPYONLY)
  endforeach()
endforeach()
file(TOUCH ${INTO}/written)
