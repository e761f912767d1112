# Writes OUT, a C++ file with the texts of FILES (relative to ROOT), declared in examples.hpp.
set(TEXT "// Made by embed.cmake from the folder scenarios.\n#include \"examples.hpp\"\n\nnamespace lapheat::app {\nconst std::vector<Example>& examples() {\n    static const std::vector<Example> all = {\n")
foreach(FILE IN LISTS FILES)
  file(READ ${ROOT}/${FILE} CONTENT)
  string(APPEND TEXT "        {\"${FILE}\", R\"lapheat_text(${CONTENT})lapheat_text\"},\n")
endforeach()
string(APPEND TEXT "    };\n    return all;\n}\n}  // namespace lapheat::app\n")
file(WRITE ${OUT} "${TEXT}")
