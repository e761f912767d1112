// Asks a reference library through another program, and reads its numbers.
#pragma once

#include <cstdio>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

namespace lapheat::validation {

/// Numbers printed by a command; empty if it fails.
inline std::vector<double> numbers_from(const std::string& command) {
    std::vector<double> numbers;
    FILE* pipe = popen(command.c_str(), "r");
    if (pipe == nullptr) return numbers;
    double x = 0;
    while (std::fscanf(pipe, "%lf", &x) == 1) numbers.push_back(x);
    if (pclose(pipe) != 0) numbers.clear();
    return numbers;
}

}  // namespace lapheat::validation
