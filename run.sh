#!/usr/bin/env bash
# lapheat: one command for everything. Debian 12, as root or through sudo; safe to repeat.
#
#   ./run.sh demo    install what is missing, build, compare placements of a cooler on an invented car
#   ./run.sh test    install what is missing, build, run all tests and checks
#   ./run.sh bench   build and run the benchmarks (ratios against peers)
#   ./run.sh build   install what is missing and build only
#   ./run.sh docs    build the Python package and its pages: reference and gallery, in build/docs/html
set -euo pipefail
cd "$(dirname "$0")"

PACKAGES=(
  g++ cmake ninja-build pkg-config
  libboost-dev libeigen3-dev libhdf5-dev hdf5-tools libtomlplusplus-dev libudunits2-dev
  nlohmann-json3-dev libfmt-dev libcsv-dev libceres-dev libcli11-dev catch2 libbenchmark-dev libsundials-dev pybind11-dev
  python3-dev python3-numpy python3-scipy python3-h5py python3-matplotlib python3-pandas
  python3-xarray python3-h5netcdf python3-distributed python3-iapws python3-fluids netcdf-bin
  jupyter-nbconvert python3-ipykernel mypy python3-setuptools python3-wheel
)
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

case "${1:-}" in
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
    sed -n '2,9p' "$0" | sed 's/^# \{0,1\}//'
    exit 64
    ;;
esac
