#include "channels.hpp"

#include <algorithm>
#include <stdexcept>

#include "lapheat/units/error.hpp"

namespace lapheat::model {

void Channels::connect(const std::string& group, const std::string& name, const char* units,
                       const std::string& long_name, const double* source) {
    const auto [known, fresh] = number_.try_emplace({group, name}, series_.size());
    if (fresh) {
        if (fixed_)
            throw std::logic_error("the series '" + group + "/" + name + "' begins on the way");
        series_.push_back({group, name, units, long_name, {}});
        sources_.push_back(nullptr);
    }
    const double*& place = sources_[known->second];
    if (place)
        throw Error("two parts would write the series '" + group + "/" + name + "'",
                    "names of parts that differ in more than spaces and slashes");
    place = source;
}

void Channels::connected() {
    const auto open = std::find(sources_.begin(), sources_.end(), nullptr);
    if (open != sources_.end()) {
        const Series& lost = series_[static_cast<std::size_t>(open - sources_.begin())];
        throw std::logic_error("the series '" + lost.group + "/" + lost.name + "' does not go on");
    }
    fixed_ = true;
}

void Channels::disconnect() { std::fill(sources_.begin(), sources_.end(), nullptr); }

void Channels::record() {
    for (std::size_t i = 0; i < sources_.size(); ++i) series_[i].values.push_back(*sources_[i]);
}

}  // namespace lapheat::model
