#!/usr/bin/env bash
# The one door: ./build.sh build | serve | test [--long] | check | bench | fuzz [seconds] | clean
#
# It finds tools, installs what is missing, and names the verbs; what needs logic is a Rust program in tests/tools/.
# It needs Rust (1.89 or newer, with rustup or the wasm target), and for the tests Node 20 and three browsers. What is
# missing it builds or fetches into .tools/, or installs as root on Debian; otherwise it says in one line how to get it.
set -euo pipefail
cd "$(dirname "$0")"

readonly HERE=$PWD
readonly KEPT=$HERE/.tools
readonly SITE=$HERE/site
readonly SHOTS=$HERE/shots
readonly TARGET=${CARGO_TARGET_DIR:-$HERE/target}
readonly TOOLS=$TARGET/debug/tools
readonly WASM=wasm32-unknown-unknown
readonly BROWSER_PACKAGES='chromium chromium-driver firefox-esr webkit2gtk-driver xvfb poppler-utils'
export PATH=$KEPT/bin:$PATH

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

# Whether version $1 is at least $2, both as 1.2.3.
at_least() { [ "$(printf '%s\n%s\n' "$2" "$1" | sort -t. -k1,1n -k2,2n -k3,3n | head -n 1)" = "$2" ]; }

# Whether this script may install Debian packages itself.
may_apt() { [ "$(id -u)" = 0 ] && have apt-get; }

# Installs Debian packages.
apt_install() {
  say "apt-get install $*"
  apt-get update -qq >&2 || true
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" >&2
}

# --- tools ---------------------------------------------------------------------------------------------------------

# Finds cargo, and checks its age.
need_cargo() {
  have cargo && have rustc || fail 'Rust is missing: install it from https://rustup.rs, then run this again'
  local least found
  least=$(sed -n 's/^rust-version = "\(.*\)"/\1/p' Cargo.toml).0
  found=$(rustc -V | sed 's/^rustc \([0-9.]*\).*/\1/')
  at_least "$found" "$least" || fail "Rust $found is too old: run 'rustup update stable' for $least or newer"
}

# Finds the library for wasm.
need_wasm() {
  need_cargo
  [ ! -d "$(rustc --print sysroot)/lib/rustlib/$WASM/lib" ] || return 0
  say "rustup target add $WASM"
  have rustup && rustup target add $WASM >&2 || fail "the wasm target is missing: run 'rustup target add $WASM'"
}

# The component's flags: no places of panics; and functions are put into one another more sparingly than is usual, for the
# decoders of objects grow by it and gain nothing. With vectors a session's replay takes 0.86 of the time, at no more bytes.
readonly COMPONENT_FLAGS='-Zlocation-detail=none -Cllvm-args=-inline-threshold=50 -Ctarget-feature=+simd128'

# Runs a cargo subcommand for the wasm target with the feature `app` or `component`. No places of panics and no debug
# texts in what goes to the phone: 7 % fewer bytes over the wire. The component keeps the texts, since what it says about
# an object of the wrong shape shows what came.
wasm_cargo() {
  local verb=$1 feature=$2 flags=$COMPONENT_FLAGS
  shift 2
  [ "$feature" != app ] || flags='-Zlocation-detail=none -Zfmt-debug=none'
  RUSTC_BOOTSTRAP=1 RUSTFLAGS="$flags ${RUSTFLAGS:-}" cargo "$verb" --locked --target $WASM --target-dir "$TARGET/web" \
    --lib --no-default-features --features "$feature" --quiet "$@"
}

# Builds the project's own tools.
need_tools() {
  need_cargo
  cargo build --locked --quiet --package dotdown-tools
}

# Finds Node of a fit age.
need_node() {
  have node && have npm || { may_apt && apt_install nodejs npm; } || true
  have node && have npm || fail 'Node 20 or newer with npm is missing: install it from https://nodejs.org'
  at_least "$(node -p process.versions.node)" 20.0.0 || fail 'Node is too old: install Node 20 or newer'
}

# Installs the npm packages of the folder $1, exactly as locked there, into the folder $2.
npm_packages() {
  if cmp -s "$1/package-lock.json" "$2/node_modules/.installed"; then return; fi
  say "npm ci for $1 (once)"
  mkdir -p "$2"
  [ "$1" -ef "$2" ] || cp "$1/package.json" "$1/package-lock.json" "$1/.npmrc" "$2"
  (cd "$2" && npm ci --silent >&2) || fail "the packages of $1 could not be fetched: run npm ci there"
  cp "$1/package-lock.json" "$2/node_modules/.installed"
}

# Finds the three browsers and their drivers. Firefox's driver is built, from a lock file of ours.
need_browsers() {
  local missing=''
  have chromium || missing="$missing chromium"
  have chromedriver || missing="$missing chromium-driver"
  have firefox-esr || have firefox || missing="$missing firefox-esr"
  have WebKitWebDriver || missing="$missing webkit2gtk-driver"
  have Xvfb || missing="$missing xvfb"
  have pdftoppm || missing="$missing poppler-utils"
  # shellcheck disable=SC2086 # a list of packages
  [ -z "$missing" ] || { may_apt && apt_install $missing; } ||
    fail "the browser tests need all three engines: run 'sudo apt-get install $BROWSER_PACKAGES'"
  if ! have geckodriver; then
    say 'building geckodriver (two minutes, once)'
    RUSTC_BOOTSTRAP=1 cargo build -Zbindeps --locked --quiet --manifest-path tests/tools/drivers/Cargo.toml \
      --target-dir "$KEPT/target" --config 'profile.dev.debug=false' >&2 || fail 'geckodriver did not build'
    mkdir -p "$KEPT/bin"
    cp "$("$KEPT/target/debug/drivers")" "$KEPT/bin/geckodriver"
    rm -rf "$KEPT/target"
  fi
}

# --- the site ------------------------------------------------------------------------------------------------------

# What the tools need to shrink a module, in SHRINK, to join the page into one file, in JOIN, and to pack the npm package,
# in PACK: from npm, where it is.
find_npm_tools() {
  SHRINK=() JOIN=() PACK=()
  if ! have npm || ! have node; then
    say 'npm is missing: the wasm is not shrunk, the page as one file and the tarball are not made (install Node 20)'
    return
  fi
  npm_packages tests/tools/npm "$KEPT/npm"
  SHRINK=(--wasm-opt "$KEPT/npm/node_modules/.bin/wasm-opt")
  JOIN=(--join tests/tools/one_file.mjs "$KEPT/npm/node_modules/esbuild")
  PACK=(--pack)
}

# Builds the static site without the npm package.
build_site() {
  need_wasm
  need_tools
  find_npm_tools
  say 'building the site'
  wasm_cargo build app --profile phone
  "$TOOLS" site "$TARGET/web/$WASM/phone/dotdown.wasm" www "$SITE" "${SHRINK[@]}" "${JOIN[@]}"
}

# Builds the site, with the npm package in its folder `component`, and prints the site's folder as the last line.
build() {
  build_site
  say 'building the npm package'
  wasm_cargo build component --profile component
  "$TOOLS" package "$TARGET/web/$WASM/component/dotdown.wasm" "$SITE/component" "${SHRINK[@]}" "${PACK[@]}"
  printf '%s\n' "$SITE"
}

# Builds the site and serves it on this machine alone. No page needs the npm package, so nobody waits for it here.
serve() {
  build_site >&2
  exec "$TOOLS" serve "$SITE" --port "${PORT:-8000}"
}

# --- tests ---------------------------------------------------------------------------------------------------------

# The core and the tools natively, with the doc examples. Each test tells its time: a switch that the test program
# wants to be asked for in this way. The long run shows what its campaigns found too.
native_tests() {
  cargo test --locked --workspace --no-fail-fast --lib --bins --test main \
    --config 'target."cfg(all())".runner = ["env", "RUSTC_BOOTSTRAP=1"]' -- -Zunstable-options --report-time ${DOTDOWN_LONG:+--show-output} &&
    cargo test --locked --doc
}

# The built site: its JavaScript API in Node, then the page in the three engines.
browser_tests() {
  DOTDOWN_SITE=$SITE DOTDOWN_SHOTS=$SHOTS DOTDOWN_TOOLS=$TOOLS node tests/browser/groups.mjs
}

# Every test. The core is tested while the site is built; the log is kept in target/test.log.
run_tests() {
  local failed='' log=$TARGET/test.log native
  [ "${1:-}" != --long ] || export DOTDOWN_LONG=1
  need_tools
  need_node
  need_browsers
  npm_packages tests/browser tests/browser
  say 'the core, and beside it the site'
  native_tests >"$log" 2>&1 &
  native=$!
  build >&2 || failed="$failed the site,"
  wait $native || failed="$failed the core,"
  cat "$log"
  if [ -z "$failed" ]; then
    say 'the page'
    browser_tests 2>&1 | tee -a "$log" || failed="$failed the page,"
  fi
  say "pictures of every screen are in $SHOTS; this took $SECONDS s"
  "$TOOLS" tally "$log" || failed="$failed the count,"
  [ -z "$failed" ] || fail "failed:${failed%,}"
}

# --- checks --------------------------------------------------------------------------------------------------------

# Finds cargo-deny; builds it from its own lock file where it is missing.
need_deny() {
  have cargo-deny && return
  say 'building cargo-deny (some minutes, once)'
  cargo install --locked --quiet --root "$KEPT" --version 0.20.2 cargo-deny >&2 ||
    fail "cargo-deny did not build: run 'cargo install --locked cargo-deny'"
}

# Holds a lock file, that of the folder $1, to some rules of .deny.toml.
deny() {
  local folder=$1
  shift
  cargo-deny --locked --manifest-path "$folder/Cargo.toml" --config .deny.toml check --hide-inclusion-graph \
    --allow license-exception-not-encountered --allow unnecessary-skip --allow unmatched-skip "$@" >&2
}

# What is built from, and that it makes the same bytes in another folder. Firefox's driver is another's program with a tree of
# its own: only where it comes from is asked.
supply() {
  local folder copy
  need_deny
  for folder in . tests/fuzz tests/bench/rope tests/bench/golden; do
    deny $folder licenses bans sources
  done
  RUSTC_BOOTSTRAP=1 CARGO_UNSTABLE_BINDEPS=true deny tests/tools/drivers sources
  say 'the same bytes from another folder'
  copy=$(mktemp -d)/elsewhere
  mkdir -p "$copy"
  git ls-files -z | xargs -0 cp --parents -t "$copy"
  ln -s "$KEPT" "$copy/.tools"
  (cd "$copy" && CARGO_TARGET_DIR=$copy/target ./build.sh build) >/dev/null
  diff -r "$SITE" "$copy/site" >&2 || fail "the site built in $copy is another one"
  rm -rf "${copy%/*}"
}

# Format, lints on both targets, documents, tests, supply and sizes, all with warnings denied.
check() {
  need_wasm
  say 'format'
  cargo fmt --all --check
  say 'lints'
  cargo clippy --workspace --all-targets --quiet -- -D warnings
  wasm_cargo clippy app -- -D warnings
  wasm_cargo clippy component -- -D warnings
  cargo check --locked --quiet --manifest-path tests/bench/rope/Cargo.toml --target-dir "$TARGET/rope"
  say 'documents'
  RUSTDOCFLAGS='-D warnings' cargo doc --no-deps --quiet
  run_tests
  say 'what it is built from'
  supply
  "$TOOLS" sizes "$SITE"
}

# Removes everything that was built; tools too when asked.
clean() {
  rm -rf "$SITE" "$SHOTS" "$TARGET" tests/browser/node_modules
  [ "${1:-}" != --tools ] || rm -rf "$KEPT"
}

case "${1:-}" in
  build) build ;;
  serve) serve ;;
  test) shift && run_tests "$@" ;;
  check) check ;;
  # Long measures, in a file of their own.
  bench | fuzz) . tests/tools/measure.sh && "$@" ;;
  clean) shift && clean "$@" ;;
  *) fail 'usage: ./build.sh build | serve | test [--long] | check | bench | fuzz [seconds [target ...]] | clean [--tools]' ;;
esac
