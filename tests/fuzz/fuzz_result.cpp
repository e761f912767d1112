// A result's file, read and shown. The first byte chooses: bit 0, sealed anew, so that what is
// behind the seal is read; bits 1 and 2, the rest is edits of a small file that is written here
// (of one full run, of an empty one, of two runs), or, if both are set, the file itself.
#include <array>
#include <fstream>
#include <iterator>

#include "harness.hpp"
#include "hdf5_seal.hpp"
#include "lapheat/results/report.hpp"
#include "lapheat/results/result_file.hpp"

using namespace lapheat;

namespace {

/// A result with one row of everything.
model::Result full() {
    model::Result r;
    r.car = "car", r.placement = "place", r.summary = "sum", r.cycle = "cycle";
    r.time = {0, 1, 2};
    r.series = {{"loops/coolant", "temperature", "K", "coolant", {300, 301, 302}}};
    r.events.emplace_back();
    r.ledger.entries = {{"in", model::LedgerEntry::Direction::in, 5},
                        {"out", model::LedgerEntry::Direction::out, 4},
                        {"kept", model::LedgerEntry::Direction::stored, 1}};
    r.sources = {{"engine", "path", 3}};
    r.verdicts.resize(1);
    r.verdicts[0].loop = "coolant";
    r.lines.resize(1);
    r.lines[0].loop = "coolant", r.lines[0].kind = "hose", r.lines[0].part = "upper hose";
    r.pumps.resize(1);
    r.pumps[0].loop = "coolant", r.pumps[0].pump = "pump";
    r.fans.resize(1);
    r.fans[0].fan = "left";
    r.warnings.push_back({Code::run_failed, "coolant", {"name"}, {}});
    r.assumptions = {{"key", "value"}};
    r.assumed.push_back({"key", units::Quantity::length, 1, 0.5, 2, "why"});
    r.phases = {{0, "first"}, {1, "second"}};
    return r;
}

std::string content(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

/// A file with a name: the HDF5 library opens no other.
struct Folder {
    std::filesystem::path path =
        std::filesystem::temp_directory_path() / ("lapheat-fuzz-" + std::to_string(::getpid()));
    std::string file = path / "x.h5";
    Folder() { std::filesystem::create_directory(path); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    ~Folder() { std::filesystem::remove_all(path); }
    void hold(std::string_view bytes) const {
        std::ofstream(file, std::ios::binary) << bytes << std::flush;
    }
};

std::array<std::string, 3> written(const std::string& path) {
    std::array<std::string, 3> out;
    results::write_result(path, full(),
                          {.files = {{"car.toml", "car = \"c\"\n"}}, .limits = {{"coolant", {}}}});
    out[0] = content(path);
    model::Result empty;
    empty.time = {0, 1};
    results::write_result(path, empty);
    out[1] = content(path);
    {
        results::Hdf5Writer writer(path);
        for (const char* place : {"a", "b"}) {
            empty.placement = place;
            results::put_result(writer, results::run_path(empty), empty);
        }
        writer.commit();
    }
    out[2] = content(path);
    return out;
}

/// Where and what: three bytes of place, one of the edit and its length, then its bytes.
std::string edited(std::string bytes, fuzz::Choices& c) {
    while (!c.empty() && !bytes.empty()) {
        const std::size_t place = c.word() << 8U | c.byte();
        const std::size_t at = place % bytes.size();
        const std::size_t what = c.byte(), length = 1 + what / 8;
        switch (what % 8) {
            case 0:
                bytes.resize(at);
                break;
            case 1:
                bytes.erase(at, length);
                break;
            case 2:
                bytes.insert(at, length, static_cast<char>(c.byte()));
                break;
            case 3:
                bytes[at] = static_cast<char>(bytes[at] ^ 1 << (what / 8 % 8));
                break;
            case 4: {  // a piece from elsewhere
                const std::size_t from = (c.word() << 8U | c.byte()) % bytes.size();
                bytes.replace(at, length, bytes.substr(from, length));
                break;
            }
            default:
                for (std::size_t i = 0; i < std::min<std::size_t>(length, 8); ++i)
                    if (at + i < bytes.size()) bytes[at + i] = static_cast<char>(c.byte());
        }
    }
    return bytes;
}

std::string sealed_anew(std::string bytes) {
    constexpr std::size_t seal = 16;
    const std::size_t end = results::h5::end_of(bytes);
    bytes.resize(end > 0 && end + seal <= bytes.size() ? end : bytes.size());
    return bytes + results::h5::seal_of(bytes);
}

void show(const model::Result& r) {
    const results::Style style;
    (void)results::heading(r, style);
    (void)results::verdict_tables(r, style);
    (void)results::event_table(r, style);
    (void)results::ledger_table(r, style);
    (void)results::source_table(r, style);
    (void)results::line_state_table(r, style);
    (void)results::pump_table(r, style);
    (void)results::warning_lines(r, style);
    (void)results::assumption_lines(r, style);
    (void)results::cost_line(r, style);
    (void)results::comparison_table(std::span(&r, 1), style);
    for (const model::Series& s : r.series)
        fuzz::hold(s.values.size() == r.time.size(), "a series of another length than time");
}

void read_and_show(const std::string& path) {
    const results::Hdf5Reader reader(path);
    (void)fuzz::refused([&] { (void)results::get_texts(reader); });
    for (const std::string& root : results::run_roots(reader)) {
        (void)fuzz::refused([&] { (void)results::get_limits(reader, root); });
        (void)fuzz::refused([&] { show(results::get_result(reader, root)); });
    }
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const Folder folder;
    static const std::array<std::string, 3> bases = written(folder.file);
    if (size == 0 || size > 65536) return 0;
    const std::size_t base = data[0] / 2 % 4;
    fuzz::Choices choices(data + 1, size - 1);
    std::string bytes = base < bases.size() ? edited(bases[base], choices)
                                            : std::string(fuzz::text(data + 1, size - 1));
    if ((data[0] & 1U) != 0) bytes = sealed_anew(std::move(bytes));
    folder.hold(bytes);
    const bool no = fuzz::refused([&] { read_and_show(folder.file); });
    if (base < bases.size() && bytes == bases[base])
        fuzz::hold(!no, "a file as it was written is refused");
    return 0;
}
