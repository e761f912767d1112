// Quantities as text: the first byte chooses the quantity, the rest is what somebody wrote.
#include "harness.hpp"
#include "lapheat/units/doubt.hpp"
#include "lapheat/units/restate.hpp"
#include "lapheat/units/spellings.hpp"
#include "lapheat/units/units.hpp"
#include "lapheat/units/utf8.hpp"

using namespace lapheat::units;

namespace {

/// What is read is a number, shown as text, and that text can be read again as nearly the same.
void show_and_read_again(double si, Quantity quantity) {
    for (const System system : {System::si, System::us}) {
        const std::string shown = format(si, quantity, system, 9);
        const double shown_number = to_display(si, quantity, system);
        if (!std::isfinite(shown_number) || std::abs(si) > 1e200) continue;
        double again = 0;
        if (fuzz::refused([&] { again = parse(shown, quantity); }))
            fuzz::broken("cannot read its own words '" + shown + "'");
        // A temperature is rounded on its own scale, whose zero lies elsewhere.
        const double scale = std::max(std::abs(si), quantity == Quantity::temperature ? 300.0 : 0);
        fuzz::hold(std::abs(again - si) <= 1e-7 * scale + 1e-300,
                   "'" + shown + "' is read as another number");
    }
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size == 0 || size > 512) return 0;
    const auto& all = all_quantities();
    const Quantity quantity = all[data[0] % all.size()];
    const std::string_view text = fuzz::text(data + 1, size - 1);
    double value = 0;
    if (!fuzz::refused([&] { value = parse(text, quantity); })) {
        fuzz::hold(std::isfinite(value), "a quantity that is no number was accepted");
        show_and_read_again(value, quantity);
    }
    Doubted doubted;
    if (!fuzz::refused([&] { doubted = parse_doubted(text, quantity); })) {
        fuzz::hold(std::isfinite(doubted.value) && doubted.half >= 0 && std::isfinite(doubted.half),
                   "a doubt that is no number was accepted");
    }
    (void)fuzz::refused([&] { value = to_si(1.5, text, quantity); });
    (void)fuzz::refused([&] { (void)describe(text); });
    (void)fuzz::refused([&] { (void)restated(text, System::us); });
    (void)fuzz::refused([&] { (void)restated(text, System::si); });
    (void)written_in(text, quantity);
    (void)dash_size(text);
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t length = utf8_length(text, at);
        fuzz::hold(length <= 4 && at + length <= text.size(), "a character beyond its text");
        at += std::max<std::size_t>(length, 1);
    }
    return 0;
}
