// Calls that fail at will: loaded before a program (LD_PRELOAD), it counts calls and makes one of
// them fail.
//
//   LAPHEAT_FAULT=CALL:N:HOW:ERRNO   CALL write, sync, rename, open, lock, rights or memory; the
//                                    N-th (from 1) fails with ERRNO (a number). HOW: once; on (it
//                                    and all after it); short (a write of half its bytes, no
//                                    failure); kill (the process is killed in its place)
//   LAPHEAT_FAULT_SPARE=NAME,NAME    memory asked for by a library of such a name never fails
//   LAPHEAT_FAULT_COUNT=FILE         how often each was called goes there at the end
//   LAPHEAT_FAULT_CLOCK=1            the clock of the day jumps by years at every look
#include <dlfcn.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <cstdlib>
#include <cstring>

extern "C" {
void* __libc_malloc(size_t size);
void* __libc_calloc(size_t count, size_t size);
void* __libc_realloc(void* old, size_t size);
void* __libc_memalign(size_t alignment, size_t size);
}

namespace {

enum Call { on_write, on_sync, on_rename, on_open, on_lock, on_rights, on_memory, calls };
constexpr const char* names[calls] = {"write", "sync",   "rename", "open",
                                      "lock",  "rights", "memory"};
enum How { once, on, half, killed };

std::atomic<long> counts[calls];
int planned = -1, failure = 0;
long nth = 0;
How how = once;
bool jumping = false;
const char* spared = nullptr;

/// Counts; true if this call is to fail, with errno set.
bool strikes(Call call) {
    const long n = ++counts[call];
    if (call != planned || n < nth || (n > nth && how != on)) return false;
    if (how == killed) kill(getpid(), SIGKILL);
    if (how == half) return true;
    errno = failure;
    return true;
}

/// Is this place in a library that is spared?
bool is_spared(void* place) {
    Dl_info from;
    if (spared == nullptr || dladdr(place, &from) == 0 || from.dli_fname == nullptr) return false;
    for (const char* name = spared; *name != 0;) {
        char one[32] = "";
        size_t length = strcspn(name, ",");
        strncat(one, name, length < sizeof one ? length : sizeof one - 1);
        if (strstr(from.dli_fname, one) != nullptr) return true;
        name += length + (name[length] == ',' ? 1 : 0);
    }
    return false;
}

/// The same of memory; `caller`: a place in the code that asked.
bool memory_strikes(void* caller) {
    const long n = counts[on_memory] + 1;
    const bool due = planned == on_memory && (n == nth || (how == on && n > nth));
    // Not counted then, so that the next one's turn comes.
    return !(due && is_spared(caller)) && strikes(on_memory);
}

template <class F>
F real(F /*ours*/, const char* name) {
    return reinterpret_cast<F>(dlsym(RTLD_NEXT, name));
}

__attribute__((constructor)) void plan() {
    jumping = getenv("LAPHEAT_FAULT_CLOCK") != nullptr;
    spared = getenv("LAPHEAT_FAULT_SPARE");
    const char* text = getenv("LAPHEAT_FAULT");
    if (text == nullptr) return;
    char call[16] = "", way[16] = "";
    if (sscanf(text, "%15[a-z]:%ld:%15[a-z]:%d", call, &nth, way, &failure) != 4) _exit(99);
    how = strcmp(way, "on") == 0      ? on
          : strcmp(way, "short") == 0 ? half
          : strcmp(way, "kill") == 0  ? killed
                                      : once;
    for (int i = 0; i < calls; ++i) {
        counts[i] = 0;
        if (strcmp(call, names[i]) == 0) planned = i;
    }
    if (planned < 0) _exit(99);
}

__attribute__((destructor)) void tell() {
    const char* file = getenv("LAPHEAT_FAULT_COUNT");
    if (file == nullptr) return;
    planned = -1;
    FILE* out = fopen(file, "w");
    if (out == nullptr) return;
    for (int i = 0; i < calls; ++i) fprintf(out, "%s %ld\n", names[i], counts[i].load());
    fclose(out);
}

mode_t mode_of(int flags, va_list rest) {
    return (flags & O_CREAT) != 0 ? va_arg(rest, mode_t) : 0;
}

}  // namespace

extern "C" {

ssize_t write(int file, const void* bytes, size_t size) {
    const bool bad = strikes(on_write);
    if (bad && how != half) return -1;
    return real(write, "write")(file, bytes, bad && size > 1 ? size / 2 : size);
}
int fsync(int file) { return strikes(on_sync) ? -1 : real(fsync, "fsync")(file); }
int rename(const char* from, const char* to) {
    return strikes(on_rename) ? -1 : real(rename, "rename")(from, to);
}
int renameat(int from_folder, const char* from, int to_folder, const char* to) {
    return strikes(on_rename) ? -1 : real(renameat, "renameat")(from_folder, from, to_folder, to);
}
int flock(int file, int what) { return strikes(on_lock) ? -1 : real(flock, "flock")(file, what); }
int fchmod(int file, mode_t mode) {
    return strikes(on_rights) ? -1 : real(fchmod, "fchmod")(file, mode);
}

#define OPENS(NAME)                                  \
    int NAME(const char* path, int flags, ...) {     \
        va_list rest;                                \
        va_start(rest, flags);                       \
        const mode_t mode = mode_of(flags, rest);    \
        va_end(rest);                                \
        if (strikes(on_open)) return -1;             \
        return real(NAME, #NAME)(path, flags, mode); \
    }
OPENS(open)
OPENS(open64)
#undef OPENS
#define OPENS(NAME)                                          \
    int NAME(int folder, const char* path, int flags, ...) { \
        va_list rest;                                        \
        va_start(rest, flags);                               \
        const mode_t mode = mode_of(flags, rest);            \
        va_end(rest);                                        \
        if (strikes(on_open)) return -1;                     \
        return real(NAME, #NAME)(folder, path, flags, mode); \
    }
OPENS(openat)
OPENS(openat64)
#undef OPENS
FILE* fopen(const char* path, const char* mode) {
    return strikes(on_open) ? nullptr : real(fopen, "fopen")(path, mode);
}
FILE* fopen64(const char* path, const char* mode) {
    return strikes(on_open) ? nullptr : real(fopen64, "fopen64")(path, mode);
}

void* malloc(size_t size) {
    return memory_strikes(__builtin_return_address(0)) ? nullptr : __libc_malloc(size);
}
void* calloc(size_t count, size_t size) {
    return memory_strikes(__builtin_return_address(0)) ? nullptr : __libc_calloc(count, size);
}
void* realloc(void* old, size_t size) {
    return memory_strikes(__builtin_return_address(0)) ? nullptr : __libc_realloc(old, size);
}
void* aligned_alloc(size_t alignment, size_t size) {
    return memory_strikes(__builtin_return_address(0)) ? nullptr : __libc_memalign(alignment, size);
}
int posix_memalign(void** out, size_t alignment, size_t size) {
    if (memory_strikes(__builtin_return_address(0))) return ENOMEM;
    *out = __libc_memalign(alignment, size);
    return *out == nullptr ? ENOMEM : 0;
}

char* strdup(const char* text) {
    const size_t size = strlen(text) + 1;
    void* copy = memory_strikes(__builtin_return_address(0)) ? nullptr : __libc_malloc(size);
    return copy == nullptr ? nullptr : static_cast<char*>(memcpy(copy, text, size));
}

int clock_gettime(clockid_t clock, timespec* out) {
    const int result = real(clock_gettime, "clock_gettime")(clock, out);
    static std::atomic<unsigned> looks;
    constexpr long year = 31557600;
    if (jumping && clock == CLOCK_REALTIME)
        out->tv_sec += (static_cast<long>(++looks * 2654435761U >> 27U) - 16) * year;
    return result;
}

}  // extern "C"
