// The table of the command's verbs. What reads a command line (main.cpp), completes it and lists it
// in help goes by this table alone.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <variant>
#include <vector>

#include "commands.hpp"

namespace lapheat::app {

/// Everything that a command line can ask for; each verb reads its own part.
struct Requests {
    Common common;
    std::vector<std::string> checked;
    bool check_all = false;
    RunRequest run;
    CompareRequest compare;
    SizeRequest size;
    SearchRequest search;
    SweepRequest sweep;
    PlumbRequest plumb;
    ShowRequest show;
    RateRequest rate;
    FluidRequest fluid;
    LogRequest log;
    RetraceRequest retrace;
    FitRequest fit;
    CarRequest car;
    NewRequest made;
    std::string topic, shell;
};

/// One option or, without dashes, one word of a verb.
struct Option {
    std::string names;  ///< "--quiet,-q", or "FILE"
    std::variant<bool*, int*, std::string*, std::filesystem::path*, std::vector<std::string>*,
                 units::System*>
        target;  ///< what it sets; a bool is a flag, a number is 1 to 1024
    std::string help;
    std::string type = {};  ///< what its value is called in help, "FILE"
    bool required = false;
    std::vector<std::string> words = {};  ///< the only values, if any are given
};

struct Verb {
    std::string name, help;
    std::vector<Option> options;
    std::string example;  ///< shown below the help; may be empty
    std::function<int()> run;
    /// The car that it reports on, in whose units it does so unless others are asked for.
    std::function<std::string()> car = {};
};

/// All verbs, in the order of help. They keep references to `requests`.
[[nodiscard]] std::vector<Verb> verbs(Requests& requests);

}  // namespace lapheat::app
