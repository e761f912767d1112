// Runs a harness without libFuzzer: `fuzz_NAME COUNT FOLDER DICTIONARY [SERIES]` takes every file
// of the folder and then so many mutations of them, the same on every machine. `fuzz_NAME 0 FILE`
// repeats one input. An input that breaks a promise, crashes or takes over a minute is left as
// `broken-NAME` in the working folder.
#include <fcntl.h>

#include <algorithm>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

#include "../mutator.hpp"
#include "harness.hpp"

namespace {

std::string running;
char left_in[256];

void leave(int signal) {
    const int file = ::open(left_in, O_WRONLY | O_CREAT | O_TRUNC, 0644);
    if (file >= 0 && ::write(file, running.data(), running.size()) < 0) ::_exit(2);
    const char said[] = "\nthe input stands in ";
    if (::write(2, said, sizeof said - 1) < 0 || ::write(2, left_in, std::strlen(left_in)) < 0 ||
        ::write(2, "\n", 1) < 0)
        ::_exit(2);
    ::_exit(128 + signal);
}

void run(const std::string& input) {
    constexpr unsigned longest = 60;  // s
    running = input;
    ::alarm(longest);
    LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(running.data()), running.size());
    ::alarm(0);
}

std::string content(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

/// The words of a dictionary as make_dictionary writes it.
std::vector<std::string> words_of(const std::filesystem::path& file) {
    std::vector<std::string> out;
    std::ifstream in(file);
    for (std::string line; std::getline(in, line);) {
        std::string word;
        for (std::size_t i = 1; i + 1 < line.size(); ++i)
            if (line.compare(i, 2, "\\x") == 0) {
                word += static_cast<char>(std::stoi(line.substr(i + 2, 2), nullptr, 16));
                i += 3;
            } else {
                word += line[i];
            }
        out.push_back(word);
    }
    return out;
}

}  // namespace

int main(int count, char** arguments) {
    if (count < 3) return std::fputs("usage: fuzz_NAME COUNT FOLDER [DICTIONARY]\n", stderr), 64;
    const std::string name = std::filesystem::path(arguments[0]).filename();
    std::snprintf(left_in, sizeof left_in, "broken-%s", name.c_str());
    for (const int signal : {SIGABRT, SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGALRM})
        std::signal(signal, leave);
    if (std::filesystem::is_regular_file(arguments[2])) return run(content(arguments[2])), 0;
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::directory_iterator(arguments[2]))
        files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    std::vector<std::string> inputs;
    for (const auto& file : files) run(inputs.emplace_back(content(file)));
    if (inputs.empty()) return std::fputs("no corpus\n", stderr), 1;
    Mutator mutator(inputs, count > 3 ? words_of(arguments[3]) : std::vector<std::string>{},
                    count > 4 ? std::strtoull(arguments[4], nullptr, 10) : 20);
    const long mutations = std::atol(arguments[1]);
    for (long i = 0; i < mutations; ++i) run(mutator.next());
    std::printf("%s: %zu stored inputs, %ld mutations of them\n", name.c_str(), inputs.size(),
                mutations);
    return 0;
}
