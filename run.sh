#!/usr/bin/env bash
# lapheat: one command for everything. Debian 12, as root or through sudo; safe to repeat.
#
#   ./run.sh demo    install what is missing, build, compare placements of a cooler on an invented car
#   ./run.sh test    install what is missing, build, run all tests and checks
#   ./run.sh bench   build and run the benchmarks (ratios against peers)
#   ./run.sh build   install what is missing and build only
#   ./run.sh fuzz [minutes]   hunt for input that breaks something, by coverage (clang's libFuzzer)
#   ./run.sh faults  every call to the disk and 2000 of memory fail, 1000 kills (half an hour)
#   ./run.sh sanitize   all tests with address, undefined and thread sanitizers (hours)
#   ./run.sh docs    build the Python package and its pages: reference and gallery, in build/docs/html
set -euo pipefail
cd "$(dirname "$0")"

PACKAGES=(
  g++ cmake ninja-build pkg-config
  libboost-dev libeigen3-dev libhdf5-dev hdf5-tools libtomlplusplus-dev libudunits2-dev
  nlohmann-json3-dev libfmt-dev libcsv-dev libceres-dev libcli11-dev catch2 libbenchmark-dev libsundials-dev pybind11-dev
  python3-dev python3-numpy python3-scipy python3-h5py python3-matplotlib python3-pandas
  python3-xarray python3-h5netcdf python3-distributed python3-iapws python3-fluids netcdf-bin
  jupyter-nbconvert python3-ipykernel mypy python3-setuptools python3-wheel python3-pip python3-venv
)
FUZZ_PACKAGES=(clang libclang-rt-14-dev)
BUILD=build/release

as_root() { if [ "$(id -u)" = 0 ]; then "$@"; else sudo -n "$@"; fi; }

install_missing() {
  local missing=()
  for p in "${PACKAGES[@]}"; do
    dpkg-query -W -f='${Status}' "$p" 2>/dev/null | grep -q 'ok installed' || missing+=("$p")
  done
  # Node runs two reference libraries in the checks, a browser looks at the page.
  command -v node >/dev/null 2>&1 || missing+=(nodejs)
  command -v npm >/dev/null 2>&1 || missing+=(npm)
  command -v chromium >/dev/null 2>&1 || missing+=(chromium)
  if [ ${#missing[@]} -gt 0 ]; then
    echo "installing: ${missing[*]}"
    as_root apt-get update -qq
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
  fi
}

install_references() {
  # Node packages are pinned in validation/package.json; nothing is fetched when they are there.
  if [ ! -f validation/node_modules/.complete ] || [ validation/package.json -nt validation/node_modules/.complete ]; then
    (cd validation && npm install --no-audit --no-fund --silent) && touch validation/node_modules/.complete
  fi
}

build() {
  # Another compiler's warnings stop those who work on it (LAPHEAT_WERROR=ON), not those who use it.
  cmake -S . -B "$BUILD" -G Ninja -DCMAKE_BUILD_TYPE=Release "-DLAPHEAT_WERROR=${LAPHEAT_WERROR:-OFF}" "$@" >"$BUILD.log" 2>&1 || { cat "$BUILD.log"; exit 1; }
  cmake --build "$BUILD" ${TARGETS:+--target $TARGETS}
}

# Each harness by turns, first without sanitizers, then what it found new with them. Inputs are kept in
# build/fuzz/corpus; what breaks a promise in build/fuzz/found, and makes the end a failed one.
fuzz() {
  local minutes=${1:-8} kind sanitize flags dir harness harnesses=(units toml scenario cycle log result network run)
  for kind in fast sanitized; do
    sanitize="" flags="-O2 -g1"
    if [ $kind = sanitized ]; then sanitize="address,undefined" flags="-O1 -g1"; fi
    dir=build/fuzz/$kind
    mkdir -p build/fuzz/found build/fuzz/logs
    cmake -S . -B $dir -G Ninja -DCMAKE_C_COMPILER=clang -DCMAKE_CXX_COMPILER=clang++ -DCMAKE_BUILD_TYPE=RelWithDebInfo \
      "-DCMAKE_CXX_FLAGS_RELWITHDEBINFO=$flags" -DLAPHEAT_FUZZ=ON "-DLAPHEAT_FUZZ_SANITIZE=$sanitize" \
      -DLAPHEAT_TESTS=OFF -DLAPHEAT_PYTHON=OFF >build/fuzz/$kind.log 2>&1 || { cat build/fuzz/$kind.log; exit 1; }
    cmake --build $dir --target fuzz_harnesses
    for harness in "${harnesses[@]}"; do
      mkdir -p build/fuzz/corpus/$harness
      # HDF5 and UDUNITS leak a little where they refuse.
      ASAN_OPTIONS=detect_leaks=0 "$dir/tests/fuzz/fuzz_$harness" build/fuzz/corpus/$harness tests/fuzz/corpus/$harness \
        -dict=$dir/tests/fuzz/lapheat.dict -max_total_time=$((minutes * 60 / 16)) -timeout=30 -rss_limit_mb=3000 \
        -artifact_prefix=build/fuzz/found/$harness- -print_final_stats=1 </dev/null >build/fuzz/logs/$kind-$harness 2>&1 ||
        echo "$harness: $(grep -m1 -E 'broken promise|ERROR|SUMMARY' build/fuzz/logs/$kind-$harness)"
      echo "$harness ($kind): $(awk '/number_of_executed_units/ { print $2 }' build/fuzz/logs/$kind-$harness) executions"
    done
  done
  find build/fuzz/found -name '*-crash-*' -o -name '*-timeout-*' -o -name '*-oom-*' |
    { ! grep . ; } || { echo "the inputs above break a promise"; exit 1; }
}

case "${1:-}" in
  fuzz)
    PACKAGES+=("${FUZZ_PACKAGES[@]}")
    install_missing
    fuzz "${2:-8}"
    ;;
  faults)
    install_missing
    mkdir -p build
    TARGETS="lapheat fault_interposer" build -DLAPHEAT_TESTS=ON
    /usr/bin/python3 tests/faults/faults.py "$PWD/$BUILD/lapheat" "$PWD/scenarios" \
      "$PWD/$BUILD/tests/faults/libfault_interposer.so" --all "${@:2}"
    ;;
  sanitize)
    install_missing
    mkdir -p build
    for preset in asan tsan; do
      cmake --preset $preset >build/$preset.log 2>&1 || { cat build/$preset.log; exit 1; }
      [ $preset = tsan ] && TARGETS="test_study" || TARGETS=all
      cmake --build build/$preset --target $TARGETS
    done
    ctest --preset asan -j2 && ctest --preset tsan -R '^test_study$'
    ;;
  demo)
    install_missing
    mkdir -p build
    TARGETS="lapheat lapheat_python lapheat_python_files" build -DLAPHEAT_TESTS=OFF -DLAPHEAT_BENCH=OFF
    "$BUILD/lapheat" compare scenarios/placements/{ahead_of_radiator,under_floor,rear,in_tank,tank_only}.toml \
      --out demo --page demo/comparison.html "${@:2}"
    echo "Python: PYTHONPATH=$BUILD/python /usr/bin/python3 -c 'import lapheat; help(lapheat)'"
    ;;
  test)
    install_missing
    install_references
    mkdir -p build
    TARGETS="" build -DLAPHEAT_TESTS=ON -DLAPHEAT_BENCH=OFF
    ctest --test-dir "$BUILD" --output-on-failure -j2 "${@:2}" | tee "$BUILD.tests"
    awk '/tests passed/ { failed = $4; total = $NF } END { print total - failed " passed, " failed " failed" }' "$BUILD.tests"
    ;;
  bench)
    install_missing
    mkdir -p build
    TARGETS="" build -DLAPHEAT_TESTS=ON -DLAPHEAT_BENCH=ON
    for b in "$BUILD"/validation/bench_*; do [ -x "$b" ] && "$b" --benchmark_min_time=0.2; done
    ;;
  docs)
    PACKAGES+=(python3-sphinx python3-nbsphinx python3-myst-parser pandoc)
    install_missing
    mkdir -p build
    TARGETS="lapheat lapheat_python lapheat_python_files" build
    PYTHONPATH="$BUILD/python" /usr/bin/python3 bindings/docs/build.py build/docs
    ;;
  build)
    install_missing
    mkdir -p build
    TARGETS="" build -DLAPHEAT_TESTS=ON
    ;;
  *)
    sed -n '2,11p' "$0" | sed 's/^# \{0,1\}//'
    exit 64
    ;;
esac
