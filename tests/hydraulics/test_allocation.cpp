// Counts what this program allocates, for the test that solving allocates nothing. A file of its
// own, so that the compiler does not see both ends of a pair and complain of malloc.
#include <cstdlib>
#include <new>

static std::size_t allocations = 0;
std::size_t allocation_count();
std::size_t allocation_count() { return allocations; }

// A sanitizer has its own pairs and wants no strangers between them: there nothing is counted.
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
void* operator new(std::size_t size) {
    ++allocations;
    if (void* p = std::malloc(size)) return p;
    throw std::bad_alloc();
}
void operator delete(void* p) noexcept { std::free(p); }
void operator delete(void* p, std::size_t) noexcept { std::free(p); }
#endif
