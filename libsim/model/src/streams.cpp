#include "lapheat/model/streams.hpp"

namespace lapheat::model {

const std::vector<std::string>& stream_names() {
    static const std::vector<std::string> names = [] {
        std::vector<std::string> out;
        for (const StreamEntry& entry : stream_table) out.emplace_back(entry.name);
        return out;
    }();
    return names;
}

const StreamEntry* find_stream(const std::string& name) noexcept {
    for (const StreamEntry& entry : stream_table)
        if (name == entry.name) return &entry;
    return nullptr;
}

}  // namespace lapheat::model
