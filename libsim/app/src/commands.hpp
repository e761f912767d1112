// The command's verbs. Each takes what the command line said and returns an exit code; errors
// leave as exceptions, which main() turns into words and codes.
#pragma once

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include "lapheat/units/units.hpp"

namespace lapheat::app {

enum ExitCode : int {
    all_well = 0,
    run_failed = 1,  ///< a simulation could not be finished, or was cancelled
    bad_input = 2,   ///< a file or value cannot be used; nothing was written
    over_limit = 3,  ///< with --strict: a fluid went over its limit
    bad_usage = 64,  ///< the command line itself is wrong
};

/// What every verb understands.
struct Common {
    units::System units = units::System::si;  ///< asked for, or else as the car's file says
    bool units_asked = false;                 ///< by --units
    std::filesystem::path out = "lapheat-results";
    bool quiet = false;
    bool json = false;
};

/// `all`: with every number that is assumed.
int check(const Common& common, const std::vector<std::string>& files, bool all);

struct RunRequest {
    std::string file;
    std::vector<std::string> cycles;
    bool all = false;  ///< events, ledger, assumptions as well
    bool strict = false;
    bool dry = false;    ///< write no file
    bool lines = false;  ///< what each foot of line and each elbow costs
    std::string draws;   ///< a number, "enough", or nothing
    int series = 1, threads = 0;
};
int run(const Common& common, const RunRequest& request);

struct CompareRequest {
    std::vector<std::string> files, cycles;
    std::string page;
    std::string one_file;  ///< of all runs, in place of one each in a folder
    std::string fitted;    ///< a car that logs were fitted to; empty: none
    int threads = 0;
    /// A number, "enough", or "0" for none. By itself as many as show a toss-up for one, and as a
    /// person waits for.
    std::string draws = "64";
    int series = 1;
    bool all = false;  ///< every table, not only the ranking with its verdict
    bool hottest = false;
    bool lines = false;
    bool strict = false;
    bool dry = false;
};
int compare(const Common& common, const CompareRequest& request);

/// What both ask who look for something that holds.
struct HoldingRequest {
    std::string target, draws;
    std::vector<std::string> cycles, fluids;
    int series = 1, threads = 0;
    bool strict = false;
};

struct SizeRequest : HoldingRequest {
    std::string file, of, from, to;
    std::string parts;  ///< a list of what `of` could be, in place of a range
};
int size(const Common& common, const SizeRequest& request);

struct SearchRequest : HoldingRequest {
    std::vector<std::string> files;
    std::vector<std::string> parts;   ///< "cooler=coolers.csv"
    std::vector<std::string> spaces;  ///< "300 mm x 220 mm x 60 mm", "at the rear = …"
    std::string budget, current, page;
};
int search(const Common& common, const SearchRequest& request);

struct SweepRequest {
    std::string file, to, points;
    std::vector<std::string> vary, cycles;
    int series = 1, threads = 0;
    bool hottest = false;
};
int sweep(const Common& common, const SweepRequest& request);

struct PlumbRequest {
    std::string file;
    bool totals = false;  ///< only what to buy, without what each is for
};
int plumb(const Common& common, const PlumbRequest& request);

struct ShowRequest {
    std::string file;
    bool texts = false;  ///< print the scenario's files instead
};
int show(const Common& common, const ShowRequest& request);

struct RateRequest {
    std::string file;
    std::vector<std::string> cores, first_flows, air_speeds, second_flows, first_inlets,
        second_inlets;
    std::string csv, h5;
};
int rate(const Common& common, const RateRequest& request);

struct FluidRequest {
    std::string name;
    std::vector<std::string> at;
    std::string fraction = "50 %";
    std::string pressure = "101.325 kPa";
    std::string file;  ///< look the name up among this file's [fluids]
};
int fluid(const Common& common, const FluidRequest& request);

struct LogRequest {
    std::string file;
    std::vector<std::string> map;  ///< "coolant=ECT"
    std::string write, ambient;
};
int log(const Common& common, const LogRequest& request);

struct RetraceRequest {
    std::string file, log, ambient, page;
    std::string draws = "32";
    std::vector<std::string> map;
    int threads = 0;
};
int retrace(const Common& common, const RetraceRequest& request);

struct FitRequest {
    std::string file, ambient, write, h5, page;
    std::vector<std::string> logs, held, map, free, each_log;  ///< held back: none, as is usual
    int threads = 0;
};
int fit(const Common& common, const FitRequest& request);

struct CarRequest {
    std::string file, write;
    bool stated = false;  ///< leave out what is only assumed
};
int car(const Common& common, const CarRequest& request);

struct NewRequest {
    std::string folder, answers;
    bool plain = false;     ///< the template, on a terminal too
    bool ask_only = false;  ///< write the files, drive nothing
};
int make_new(const Common& common, const NewRequest& request);

int help_topic(const std::string& topic, const Common& common);
/// Topics a person looks through; and with them every kind of a core, part, segment, fault ...
const std::vector<std::string>& help_topics();
const std::vector<std::string>& help_words();

/// A verb with its options and words, each with its help.
struct VerbWords {
    std::string verb, help, example;
    std::vector<std::pair<std::string, std::string>> options;
};
/// Prints a completion script for bash, zsh or fish.
int completion(const std::vector<VerbWords>& verbs, const std::string& shell);
/// Prints the manual page as roff.
int manual(const std::vector<VerbWords>& verbs);

}  // namespace lapheat::app
