// Text alone, read as a car and as a cycle: every reader looks for its keys in whatever is there.
#include "harness.hpp"
#include "lapheat/scenario/scenario.hpp"

using namespace lapheat;

namespace {

void hold_problems(const scenario::Errors& e, const std::vector<scenario::SourceFile>& files) {
    fuzz::hold(!e.problems().empty(), "refused without a problem");
    for (const scenario::Problem& p : e.problems()) {
        fuzz::hold(!p.found.empty() || !p.expected.empty(), "a problem without words");
        (void)to_string(p, files, true);
        (void)to_string(in_units(p, units::System::us));
    }
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > 16384) return 0;
    const std::string text(fuzz::text(data, size));
    scenario::Document document;
    scenario::Problems problems;
    if (fuzz::refused([&] { document = scenario::parse(text, "fuzz.toml", problems); })) return 0;
    for (const auto& problem : problems.sorted()) (void)to_string(problem, document.files, true);
    (void)fuzz::refused([&] {
        try {
            (void)scenario::read(document, "/nonexistent");
        } catch (const scenario::Errors& e) {
            hold_problems(e, document.files);
        }
    });
    return 0;
}
