# cmake -DOUTPUT=FILE.cpp -DROOT=FOLDER -P embed.cmake -- FILE...
# Writes the bytes of these files, named from ROOT on, into a C++ source: embedded_files() lists them.
set(entries "")
set(arrays "")
set(count 0)
set(is_file FALSE)
math(EXPR last "${CMAKE_ARGC} - 1")
foreach(i RANGE ${last})
  set(argument "${CMAKE_ARGV${i}}")
  if(is_file)
    file(RELATIVE_PATH name "${ROOT}" "${argument}")
    file(READ "${argument}" hex HEX)
    string(REGEX REPLACE "(..)" "0x\\1," bytes "${hex}")
    string(APPEND arrays "constexpr unsigned char kFile${count}[] = {${bytes}0};\n")
    string(APPEND entries "    {\"${name}\", kFile${count}, sizeof kFile${count} - 1},\n")
    math(EXPR count "${count} + 1")
  elseif(argument STREQUAL "--")
    set(is_file TRUE)
  endif()
endforeach()
file(WRITE "${OUTPUT}" "#include \"embedded_files.h\"\n\nnamespace rimeglow {\nnamespace {\n\n"
     "${arrays}\nconstexpr EmbeddedFile kFiles[] = {\n${entries}};\n\n}  // namespace\n\n"
     "std::span<const EmbeddedFile> embedded_files() { return kFiles; }\n\n"
     "}  // namespace rimeglow\n")
