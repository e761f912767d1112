#include "lapheat/units/error.hpp"

#include "lapheat/units/diagnostic.hpp"

namespace lapheat {

Error::Error(const Diagnostic& diagnostic, FilePlace place, std::string key)
    : std::runtime_error(words(diagnostic, units::System::si)),
      expected_(lapheat::expected(diagnostic.code)),
      place_(std::move(place)),
      key_(std::move(key)),
      diagnostic_(std::make_shared<const Diagnostic>(diagnostic)) {}

Code Error::code() const noexcept { return diagnostic_ ? diagnostic_->code : Code::bad_input; }

}  // namespace lapheat
