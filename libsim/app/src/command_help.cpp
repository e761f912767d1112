#include "commands.hpp"
#include "console.hpp"

namespace lapheat::app {
const std::vector<std::string>& help_topics() {
    static const std::vector<std::string> topics = {"units", "files", "exit-codes", "json"};
    return topics;
}
}  // namespace lapheat::app
