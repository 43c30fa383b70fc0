#!/usr/bin/env bash
# The one door: ./build.sh build | serve | test [--long] | check | bench | fuzz [seconds] | clean
#
# It needs Rust (1.89 or newer), and for the tests Node 20 and three browsers. What is missing it installs into
# .tools/ (cargo and npm packages) or, as root on Debian, with apt-get; otherwise it says in one line how to get it.
set -euo pipefail
cd "$(dirname "$0")"

readonly HERE=$PWD
readonly TOOLS=$HERE/.tools
readonly SITE=$HERE/site
readonly SHOTS=$HERE/shots
readonly WASM=wasm32-unknown-unknown
readonly BINARYEN=132.0.0
readonly ESBUILD=0.28.2
readonly GECKODRIVER=0.37.0
readonly LIGHTHOUSE=12.8.2
readonly BROWSER_PACKAGES='chromium chromium-driver firefox-esr webkit2gtk-driver xvfb poppler-utils'
export PATH=$TOOLS/bin:$PATH

# --- small helpers -------------------------------------------------------------------------------------------------

# Says what is being done, on standard error, so that standard output stays for results.
say() { printf '%s\n' "== $*" >&2; }

# Ends with one line that says what is missing and how to get it.
fail() {
  printf 'build.sh: %s\n' "$*" >&2
  exit 1
}

# Whether a command is there.
have() { command -v "$1" >/dev/null 2>&1; }

# Whether this script may install Debian packages itself.
may_apt() { [ "$(id -u)" = 0 ] && have apt-get; }

# Installs Debian packages; the index is refreshed once a run.
apt_install() {
  say "apt-get install $*"
  if [ -z "${APT_FRESH:-}" ]; then
    apt-get update -qq >&2 || true
    APT_FRESH=yes
  fi
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" >&2
}

# Whether version $1 is at least $2, both as 1.2.3.
at_least() { [ "$(printf '%s\n%s\n' "$2" "$1" | sort -t. -k1,1n -k2,2n -k3,3n | head -n 1)" = "$2" ]; }

# The bare version that `rustc -V` of the given compiler prints.
rust_version() { "$1" -V | sed 's/^rustc \([0-9.]*\).*/\1/'; }

# SHA-256 of standard input, in hexadecimal.
sha256() { if have sha256sum; then sha256sum; else shasum -a 256; fi | cut -d ' ' -f 1; }

# SHA-256 of a file in the form that a browser's integrity check reads.
integrity() {
  local hex
  hex=$(sha256 <"$1")
  # shellcheck disable=SC2059 # the escapes are the data
  printf "$(printf %s "$hex" | sed 's/../\\x&/g')" | base64 | sed 's/^/sha256-/'
}

# Bytes of a file.
bytes() { wc -c <"$1" | tr -d ' '; }

# The version of a package in Cargo.lock.
locked() { sed -n "/^name = \"$1\"\$/{n;s/^version = \"\(.*\)\"\$/\1/p;}" Cargo.lock | head -n 1; }

# --- tools ---------------------------------------------------------------------------------------------------------

# Finds cargo, and checks its age.
need_cargo() {
  if ! have cargo; then
    may_apt && apt_install rustc-web cargo-web >/dev/null || true
    have cargo || fail 'Rust is missing: install it from https://rustup.rs, then run this again'
  fi
  local least found
  least=$(sed -n 's/^rust-version = "\(.*\)"/\1/p' Cargo.toml).0
  found=$(rust_version rustc)
  at_least "$found" "$least" || fail "Rust $found is too old: run 'rustup update stable' for $least or newer"
}

# Whether the compiler on the path has the wasm target's library.
has_target() { [ -d "$("${1:-rustc}" --print sysroot)/lib/rustlib/$WASM/lib" ]; }

# Whether Debian's compiler can build the library for wasm itself: compiler, cargo, sources and the linker are there.
has_debian_web() {
  [ -x /usr/bin/rustc ] && [ -x /usr/bin/cargo ] && [ -x /usr/bin/rust-lld ] || return 1
  at_least "$(rust_version /usr/bin/rustc)" "$(sed -n 's/^rust-version = "\(.*\)"/\1/p' Cargo.toml).0" || return 1
  [ -f "$(/usr/bin/rustc --print sysroot)/lib/rustlib/src/rust/library/Cargo.lock" ]
}

# Installs what Debian offers for that: the linker's package is the one that rust-lld points to.
install_debian_web() {
  may_apt || return 1
  apt_install rustc-web cargo-web rust-web-src rust-web-llvm || return 1
  local linker
  linker=$(readlink /usr/bin/rust-lld || true)
  [ -z "$linker" ] || [ -x "/usr/bin/$linker" ] || apt_install "$(basename "$linker")"
}

# Chooses how wasm is compiled: `target` (the library comes with the toolchain) or `debian` (it is built here).
choose_wasm_way() {
  need_cargo
  if has_target; then
    WAY=target
  elif has_debian_web; then
    WAY=debian
  elif have rustup && say "rustup target add $WASM" && limited 300 rustup target add $WASM >&2; then
    WAY=target
  elif install_debian_web && has_debian_web; then
    WAY=debian
  else
    fail "the wasm target is missing: run 'rustup target add $WASM', or on Debian 'apt-get install rustc-web cargo-web rust-web-src rust-web-llvm' and the lld that rust-lld points to"
  fi
}

# Runs a command for at most so many seconds, where the system has a command for that.
limited() {
  local seconds=$1
  shift
  if have timeout; then timeout "$seconds" "$@"; else "$@"; fi
}

# Runs a cargo subcommand for the wasm target in the chosen way.
wasm_cargo() {
  local verb=$1
  shift
  # No places of panics and no debug texts in what goes to the phone: 7 % fewer bytes over the wire.
  local flags="-Zlocation-detail=none -Zfmt-debug=none ${RUSTFLAGS:-}"
  if [ "$WAY" = debian ]; then
    env -u RUSTUP_TOOLCHAIN PATH="/usr/bin:$PATH" RUSTC=/usr/bin/rustc RUSTDOC=/usr/bin/rustdoc RUSTC_BOOTSTRAP=1 \
      RUSTFLAGS="$flags" \
      /usr/bin/cargo "$verb" --target $WASM -Zbuild-std=std,panic_abort --target-dir target/web "$@"
  else
    RUSTC_BOOTSTRAP=1 RUSTFLAGS="$flags" cargo "$verb" --target $WASM --target-dir target/web "$@"
  fi
}

# Installs a cargo program of an exact version into .tools/, unless that version is already there or on the path.
cargo_tool() {
  local crate=$1 version=$2 program=$3
  # Not a pipe into grep -q: the program would end by a broken pipe.
  if have "$program" && case "$("$program" --version 2>/dev/null)" in *" $version"*) ;; *) false ;; esac; then return; fi
  say "cargo install $crate $version (some minutes, once)"
  # As its authors locked it, or with newer dependencies where the registry lacks one of those.
  local lock
  for lock in --locked ''; do
    # shellcheck disable=SC2086 # an empty word is no argument
    cargo install "$crate" --version "$version" $lock --debug --force --quiet --root "$TOOLS" \
      --target-dir "$TOOLS/target" >&2 && return
  done
  fail "$crate did not build: run 'cargo install $crate --version $version'"
}

# Whether wasm-opt can run: npm brings it; without npm the site is built without it.
find_wasm_opt() {
  WASM_OPT=$TOOLS/npm/node_modules/.bin/wasm-opt
  if [ -x "$WASM_OPT" ] && case "$("$WASM_OPT" --version)" in *"version ${BINARYEN%%.*}"*) ;; *) false ;; esac; then return 0; fi
  have npm || { say 'npm is missing: the wasm is not shrunk by wasm-opt (install Node 20 for a smaller site)'; return 1; }
  say "npm install binaryen@$BINARYEN (once)"
  mkdir -p "$TOOLS/npm"
  npm install --prefix "$TOOLS/npm" --no-save --no-audit --no-fund --silent "binaryen@$BINARYEN" >&2 ||
    { say 'binaryen could not be fetched: the wasm is not shrunk by wasm-opt'; return 1; }
}

# Whether the bundler of the page as one file is there, in $BUNDLER.
find_bundler() {
  BUNDLER=$TOOLS/esbuild/node_modules/esbuild
  have npm && have node || { say 'Node is missing: the page as one file is not made (install Node 20)'; return 1; }
  grep -qs "\"version\": \"$ESBUILD\"" "$BUNDLER/package.json" && return 0
  say "npm install esbuild@$ESBUILD (once)"
  mkdir -p "$TOOLS/esbuild"
  npm install --prefix "$TOOLS/esbuild" --no-save --no-audit --no-fund --silent "esbuild@$ESBUILD" >&2 ||
    { say 'esbuild could not be fetched: the page as one file is not made'; return 1; }
}

# Finds Node of a fit age.
need_node() {
  if ! have node || ! have npm; then
    may_apt && apt_install nodejs npm || true
  fi
  have node && have npm || fail 'Node 20 or newer with npm is missing: install it from https://nodejs.org'
  at_least "$(node -p process.versions.node)" 20.0.0 || fail 'Node is too old: install Node 20 or newer'
}

# Finds the three browsers and their drivers.
need_browsers() {
  local missing=''
  have chromium || missing="$missing chromium"
  have chromedriver || missing="$missing chromium-driver"
  have firefox-esr || have firefox || missing="$missing firefox-esr"
  have WebKitWebDriver || missing="$missing webkit2gtk-driver"
  have Xvfb || missing="$missing xvfb"
  have pdftoppm || missing="$missing poppler-utils"
  if [ -n "$missing" ]; then
    # shellcheck disable=SC2086 # a list of packages
    may_apt && apt_install $missing ||
      fail "the browser tests need all three engines: run 'sudo apt-get install $BROWSER_PACKAGES'"
  fi
  cargo_tool geckodriver $GECKODRIVER geckodriver
}

# Installs Lighthouse, which only the bench needs.
need_lighthouse() {
  local at=$TOOLS/lighthouse
  if [ "$(node -p "require('$at/node_modules/lighthouse/package.json').version" 2>/dev/null)" = $LIGHTHOUSE ]; then return; fi
  say "npm install lighthouse@$LIGHTHOUSE (once)"
  mkdir -p "$at"
  npm install --prefix "$at" --no-save --no-audit --no-fund --silent "lighthouse@$LIGHTHOUSE" >&2
}

# --- the site ------------------------------------------------------------------------------------------------------

# Shrinks a module in place. Only what the oldest browsers of the baseline understand: a newer feature would be an error
# here. Functions are not put into one another: that makes fewer bytes raw, but 6 % more over the wire.
shrink() {
  "$WASM_OPT" --strip-debug --strip-producers --strip-target-features --mvp-features \
    --enable-bulk-memory --enable-bulk-memory-opt --enable-mutable-globals --enable-multivalue \
    --enable-nontrapping-float-to-int --enable-reference-types --enable-sign-ext \
    --flatten --rereloop -Os --skip-pass=inlining-optimizing -Os --skip-pass=inlining-optimizing "$1" -o "$1"
}

# Compiles the core for the phone and writes dotdown.js, dotdown.d.ts and dotdown_bg.wasm into the given folder.
build_core() {
  local out=$1
  choose_wasm_way
  cargo_tool wasm-bindgen-cli "$(locked wasm-bindgen)" wasm-bindgen
  wasm_cargo build --lib --profile phone --quiet
  wasm-bindgen --target web --out-dir "$out" --out-name dotdown "target/web/$WASM/phone/dotdown.wasm"
  rm -f "$out/dotdown_bg.wasm.d.ts"
  if find_wasm_opt; then
    shrink "$out/dotdown_bg.wasm"
  fi
}

# The files of the site that the page needs offline, one a line. The page as one file stands beside them: no visit
# fetches it unasked.
offline_files() {
  (cd "$1" && find . -type f ! -name sw.js ! -name '*.d.ts' ! -name dotdown.html ! -name 'first-*.html' | sed 's,^\./,,' | LC_ALL=C sort)
}

# Writes into the page which build it is, and whether the whole page can be had as one file; makes that file.
finish_page() {
  local folder=$1 name build
  build=$(for name in $(offline_files "$folder"); do integrity "$folder/$name"; done | sha256 | cut -c 1-8)
  edit "s|<html |<html data-build=\"$build\" |" "$folder/index.html"
  if find_bundler; then
    node tests/tools/one_file.mjs "$folder" "$folder/dotdown.html" "$BUNDLER"
    edit 's|<html |<html data-whole="dotdown.html" |' "$folder/index.html"
  fi
}

# Changes a file in place, by sed.
edit() { sed -i.bak -e "$1" "$2" && rm -f "$2.bak"; }

# Writes the version and the list of files, each with its hash, into the service worker.
fill_worker() {
  local folder=$1 list='' name url version
  for name in $(offline_files "$folder"); do
    url=$name
    [ "$name" != index.html ] || url=./
    list="$list'$url': '$(integrity "$folder/$name")', "
  done
  version=$(printf %s "$list" | cat - "$folder/sw.js" | sha256 | cut -c 1-16)
  sed -i.bak -e "s|@VERSION@|$version|" -e "s|/\* @FILES@ \*/|$list|" "$folder/sw.js"
  rm -f "$folder/sw.js.bak"
}

# Builds the static site and prints its folder as the last line.
build() {
  local fresh=$HERE/target/site
  say 'building the site'
  rm -rf "$fresh"
  mkdir -p "$fresh"
  cp -R www/. "$fresh"
  build_core "$fresh"
  fill_first "$fresh"
  finish_page "$fresh"
  fill_worker "$fresh"
  rm -rf "$SITE"
  mv "$fresh" "$SITE"
  printf '%s\n' "$SITE"
}

# Writes the first visitor's screen into the shell, to stand there before the core has come, and the other screens beside
# it. Those are no part of the page offline.
fill_first() {
  cargo build --example first --quiet
  "${CARGO_TARGET_DIR:-$HERE/target}/debug/examples/first" "$1"
}

# Builds the local server, and prints where it is.
build_server() {
  need_cargo
  cargo build --example serve --quiet
  printf '%s\n' "${CARGO_TARGET_DIR:-$HERE/target}/debug/examples/serve"
}

# Builds the site and serves it on this machine alone.
serve() {
  build >&2
  local server
  server=$(build_server)
  exec "$server" "$SITE" --port "${PORT:-8000}"
}

# --- tests ---------------------------------------------------------------------------------------------------------

# Runs a suite with its output kept, and goes on after a failure, so that the last line counts everything.
suite() {
  local name=$1
  shift
  say "$name"
  if "$@" 2>&1 | tee -a "$LOG"; then return; fi
  printf '%s\n' "suite failed: $name" | tee -a "$LOG"
  FAILED="$FAILED, $name"
}

# Installs the packages of the browser tests, exactly as locked.
need_packages() {
  local stamp=tests/browser/node_modules/.installed
  if [ -f $stamp ] && cmp -s tests/browser/package-lock.json $stamp; then return; fi
  say 'npm ci for the browser tests (once)'
  (cd tests/browser && npm ci --silent >&2) || fail 'the packages of tests/browser could not be fetched: run npm ci there'
  cp tests/browser/package-lock.json $stamp
}

# Runs the tests of the built site: its JavaScript API in Node, then the page in the three engines.
browser_suite() {
  (cd tests/browser && DOTDOWN_SITE=$SITE DOTDOWN_SHOTS=$SHOTS DOTDOWN_SERVER=$SERVER \
    node --test --test-concurrency=2 --test-reporter=spec ./*.test.mjs)
}

# Every test: the core natively with its doc examples, the site in Node, the page in three engines, with pictures.
run_tests() {
  local begun=$SECONDS passed failed
  LOG=$HERE/target/test.log FAILED=''
  if [ "${1:-}" = --long ]; then export DOTDOWN_LONG=1; fi
  need_cargo
  need_node
  need_browsers
  need_packages
  mkdir -p target
  : >"$LOG"
  suite 'the core' cargo test --no-fail-fast
  suite 'the site' ./build.sh build
  if [ -d "$SITE" ]; then
    SERVER=$(build_server)
    suite 'the page' browser_suite
  fi
  passed=$(count ' \([0-9]*\) passed;' pass)
  failed=$(count ' \([0-9]*\) failed;' fail)
  say "pictures of every screen are in $SHOTS; this took $((SECONDS - begun)) s"
  printf '%s passed, %s failed\n' "$passed" "$failed"
  [ -z "$FAILED" ] || fail "failed: ${FAILED#, }"
}

# Sums what cargo (pattern $1) and Node (word $2) counted.
count() {
  {
    sed -n "s/^test result:.*$1.*/\1/p" "$LOG"
    LC_ALL=C sed -n "s/^[^ ]* $2 \([0-9]*\)\$/\1/p" "$LOG"
  } | awk '{ sum += $1 } END { print sum + 0 }'
}

# --- checks and measures -------------------------------------------------------------------------------------------

# Lints the browser's edge: with clippy where it is there for that compiler, else with the compiler's own warnings.
check_wasm() {
  if [ "$WAY" = debian ] && [ ! -x /usr/bin/cargo-clippy ]; then
    may_apt && apt_install rust-web-clippy || true
  fi
  if [ "$WAY" = target ] || [ -x /usr/bin/cargo-clippy ]; then
    wasm_cargo clippy --lib --quiet -- -D warnings
  else
    say 'clippy for the wasm target is missing (apt-get install rust-web-clippy): the compiler checks alone'
    RUSTFLAGS='-D warnings' wasm_cargo check --lib --quiet
  fi
}

# Format, lints on both targets, documents, tests and sizes, all with warnings denied.
check() {
  choose_wasm_way
  say 'format'
  cargo fmt --check
  say 'lints'
  cargo clippy --all-targets --quiet -- -D warnings
  check_wasm
  say 'documents'
  RUSTDOCFLAGS='-D warnings' cargo doc --no-deps --quiet
  run_tests
  sizes
}

# Bytes of one file over the wire: raw, gzip, brotli.
wire() {
  local raw zip tight
  raw=$(bytes "$1")
  zip=$(gzip -9 -c "$1" | wc -c | tr -d ' ')
  tight=$(node -e 'const z = require("zlib"), c = z.constants; process.stdout.write(String(z.brotliCompressSync(
    require("fs").readFileSync(process.argv[1]), { params: { [c.BROTLI_PARAM_QUALITY]: 11, [c.BROTLI_PARAM_LGWIN]: 22 } }).length))' "$1")
  printf '%s %s %s\n' "$raw" "$zip" "$tight"
}

# Bytes of the whole first visit against the goal of 150 kB brotli, and of the core by library.
sizes() {
  local name raw zip tight all_raw=0 all_zip=0 all_tight=0
  say 'bytes of a first visit: raw, gzip, brotli'
  for name in $(offline_files "$SITE") sw.js; do
    # shellcheck disable=SC2046 # three numbers
    set -- $(wire "$SITE/$name")
    raw=$1 zip=$2 tight=$3
    all_raw=$((all_raw + raw)) all_zip=$((all_zip + zip)) all_tight=$((all_tight + tight))
    printf '%9d %9d %9d  %s\n' "$raw" "$zip" "$tight" "$name"
  done
  printf '%9d %9d %9d  %s\n' "$all_raw" "$all_zip" "$all_tight" 'in all'
  # shellcheck disable=SC2046 # three numbers
  [ ! -f "$SITE/dotdown.html" ] || printf '%9d %9d %9d  %s\n' $(wire "$SITE/dotdown.html") 'dotdown.html, the page as one file: not of a visit'
  printf 'goal: 150000 bytes brotli; %d reached, %s\n' "$all_tight" \
    "$([ "$all_tight" -le 150000 ] && echo met || echo 'NOT met')"
  say 'bytes of the core by library, before wasm-opt'
  node tests/tools/wasm_bytes.mjs "target/web/$WASM/phone/dotdown.wasm" | head -n 20
}

# Times the same golden work natively and as it goes to the phone.
bench_wasm() {
  local crate=tests/bench/golden/Cargo.toml out=$HERE/target/golden
  choose_wasm_way
  cargo build --release --quiet --manifest-path $crate --target-dir "$out"
  wasm_cargo build --lib --profile phone --quiet --manifest-path $crate
  wasm-bindgen --target web --out-dir "$out" --out-name golden "target/web/$WASM/phone/golden.wasm"
  ! find_wasm_opt || shrink "$out/golden_bg.wasm"
  node tests/browser/bench_wasm.mjs "$out/release/golden" "$out/golden.js" "$out/golden_bg.wasm"
}

# Times natively, bytes over the wire, and time to ready in a browser.
bench() {
  need_node
  build >&2
  cargo bench --quiet
  say 'the fall of a rig beside a general-purpose rigid-body engine'
  cargo run --release --quiet --manifest-path tests/bench/rope/Cargo.toml --target-dir target/rope
  say 'the same golden work natively and in WebAssembly'
  bench_wasm
  sizes
  need_browsers
  need_packages
  SERVER=$(build_server)
  export DOTDOWN_SITE=$SITE DOTDOWN_SERVER=$SERVER
  say 'the core in WebAssembly, in Node'
  (cd tests/browser && node bench_core.mjs)
  say 'the live session, in Node and on a slowed page'
  (cd tests/browser && node bench_live.mjs)
  say 'the pattern finder with page and worker slowed four times (Chromium)'
  (cd tests/browser && node bench_finder.mjs)
  say 'time to ready (Chromium, 4x slower processor, slow 4G)'
  (cd tests/browser && node bench.mjs)
  say 'Lighthouse, mobile profile, median of five runs of each screen'
  need_lighthouse || fail "Lighthouse could not be fetched: run 'npm install lighthouse@$LIGHTHOUSE' in .tools/lighthouse"
  (cd tests/browser && DOTDOWN_LIGHTHOUSE=$TOOLS/lighthouse node bench_lighthouse.mjs)
}

# Fuzzes everything that is read from outside with libFuzzer, guided by coverage: so many seconds for each target, then
# the targets (all five by default). It needs a C++ compiler. What is found is told and kept in target/fuzz/found/;
# inputs that reach new code gather in target/fuzz/corpus/, and tests/fuzz/corpus/ is left as it is.
fuzz() {
  local seconds=${1:-60} host target flags
  [ $# = 0 ] || shift
  [ $# -gt 0 ] || set -- link_text stored_plan stored_log file_import number
  need_cargo
  have c++ || { may_apt && apt_install g++; } || fail 'a C++ compiler is missing: install g++ or clang, then run this again'
  host=$(rustc -vV | sed -n 's/^host: //p')
  # The compiler's own coverage pass, as libFuzzer reads it; no nightly compiler and no further program is needed.
  flags='-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 -Cllvm-args=-sanitizer-coverage-trace-compares'
  flags="$flags -Cllvm-args=-sanitizer-coverage-inline-8bit-counters -Cllvm-args=-sanitizer-coverage-pc-table -Clink-dead-code"
  say 'building the fuzz targets'
  RUSTFLAGS=$flags cargo build --release --quiet --manifest-path tests/fuzz/Cargo.toml --target "$host" --target-dir target/fuzz
  mkdir -p target/fuzz/found
  for target in "$@"; do
    say "fuzzing $target for $seconds s"
    mkdir -p "target/fuzz/corpus/$target"
    "target/fuzz/$host/release/$target" -max_total_time="$seconds" -timeout=10 -max_len=8192 -verbosity=0 \
      -print_final_stats=1 -artifact_prefix="target/fuzz/found/$target-" \
      "target/fuzz/corpus/$target" "tests/fuzz/corpus/$target" ||
      fail "$target found something: run target/fuzz/$host/release/$target on the file in target/fuzz/found/"
  done
}

# Removes everything that was built; tools too when asked.
clean() {
  rm -rf "$SITE" "$SHOTS" target tests/browser/node_modules
  [ "${1:-}" != --tools ] || rm -rf "$TOOLS"
}

case "${1:-}" in
  build) build ;;
  serve) serve ;;
  test) shift && run_tests "$@" ;;
  check) check ;;
  bench) bench ;;
  fuzz) shift && fuzz "$@" ;;
  clean) shift && clean "$@" ;;
  *) fail 'usage: ./build.sh build | serve | test [--long] | check | bench | fuzz [seconds [target ...]] | clean [--tools]' ;;
esac
