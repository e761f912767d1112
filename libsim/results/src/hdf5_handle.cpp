#include "hdf5_handle.hpp"

#include "lapheat/results/hdf5_exit.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::results {

void leave_hdf5_alone_at_exit() noexcept { (void)H5dont_atexit(); }

}  // namespace lapheat::results

namespace lapheat::results::h5 {
namespace {

std::mutex& library_lock() {
    static std::mutex lock;  // the library itself is one for the process
    return lock;
}

herr_t note(unsigned /*depth*/, const H5E_error2_t* error, void* out) {
    if (error->desc != nullptr) *static_cast<std::string*>(out) = error->desc;
    return 0;
}

}  // namespace

Session::Session() : lock_(library_lock()) {
    H5Eget_auto2(H5E_DEFAULT, &print_, &data_);
    H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);
}

Session::~Session() {
    H5Eclear2(H5E_DEFAULT);
    H5Eset_auto2(H5E_DEFAULT, print_, data_);
}

std::string last_error() {
    std::string out;
    H5Ewalk2(
        H5E_DEFAULT, H5E_WALK_UPWARD,
        [](unsigned depth, const H5E_error2_t* e, void* data) {
            return depth == 0 ? note(depth, e, data) : 0;
        },
        &out);
    return out;
}

void fail(const std::string& what, const std::string& file, std::string_view path) {
    const std::string reason = last_error();
    throw Error("cannot " + what + (reason.empty() ? "" : ": " + reason), {}, {file, 0, 0},
                std::string(path));
}

Identifier text_type() {
    Identifier type(H5Tcopy(H5T_C_S1), H5Tclose);
    H5Tset_size(type.get(), H5T_VARIABLE);
    H5Tset_cset(type.get(), H5T_CSET_UTF8);
    return type;
}

}  // namespace lapheat::results::h5
