# shellcheck shell=bash
# The verbs `bench` and `fuzz` of build.sh, which reads this file in for them.

# Times the same golden work natively and as the component runs it.
bench_wasm() {
  local crate=tests/bench/golden/Cargo.toml out=$TARGET/golden
  cargo build --release --quiet --manifest-path $crate --target-dir "$out"
  RUSTC_BOOTSTRAP=1 RUSTFLAGS=$COMPONENT_FLAGS \
    cargo build --release --lib --quiet --manifest-path $crate --target $WASM --target-dir "$out"
  "$TOOLS" module "$out/$WASM/release/golden.wasm" "$out" golden "${SHRINK[@]}"
  node tests/browser/bench_wasm.mjs "$out/release/golden" "$out/golden.js" "$out/golden_bg.wasm"
}

# Times natively, bytes over the wire, and time to ready in a browser.
bench() {
  need_node
  build >&2
  export DOTDOWN_BOOK=$TARGET/book.json
  cargo bench --quiet
  say 'the fall of a rig beside a general-purpose rigid-body engine'
  cargo run --release --quiet --manifest-path tests/bench/rope/Cargo.toml --target-dir "$TARGET/rope"
  say 'the same golden work natively and in WebAssembly'
  bench_wasm
  say 'bytes of a first visit'
  "$TOOLS" sizes "$SITE"
  say 'bytes of the core by library, before wasm-opt'
  node tests/tools/wasm_bytes.mjs "$TARGET/web/$WASM/phone/dotdown.wasm" | head -n 20
  need_browsers
  npm_packages tests/browser tests/browser
  npm_packages tests/tools/lighthouse "$KEPT/lighthouse"
  export DOTDOWN_SITE=$SITE DOTDOWN_TOOLS=$TOOLS DOTDOWN_LIGHTHOUSE=$KEPT/lighthouse
  local part
  for part in bench_core bench_live bench_finder bench_season bench bench_lighthouse; do
    say "$(sed -n '1s,^// *,,p' tests/browser/$part.mjs)"
    (cd tests/browser && node $part.mjs)
  done
}

# Fuzzes everything that is read from outside with libFuzzer, guided by coverage: so many seconds for each target, then
# the targets (all by default). It needs a C++ compiler. What fails, or takes longer than 10 s, is told and kept in
# target/fuzz/found/; inputs that reach new code gather in target/fuzz/corpus/, and tests/fuzz/corpus/ is left as it is.
# The counters slow what loops closely: the heaviest balance takes 0.49 s without them and 4.5 s with them, the heaviest fall
# 0.94 s and 1.9 s. So the stored inputs, with the
# heaviest that is taken of each kind (those that are long are made anew), are run without them first, a second each at most.
fuzz() {
  local seconds=${1:-60} host target flags
  [ $# = 0 ] || shift
  [ $# -gt 0 ] || set -- link_text stored_page stored_log number request book_text
  need_cargo
  have c++ || { may_apt && apt_install g++; } || fail 'a C++ compiler is missing: install g++ or clang, then run this again'
  host=$(rustc -vV | sed -n 's/^host: //p')
  # The compiler's own coverage pass, as libFuzzer reads it; no nightly compiler and no further program is needed.
  flags='-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 -Cllvm-args=-sanitizer-coverage-trace-compares'
  flags="$flags -Cllvm-args=-sanitizer-coverage-inline-8bit-counters -Cllvm-args=-sanitizer-coverage-pc-table -Clink-dead-code"
  say 'building the fuzz targets'
  RUSTFLAGS=$flags cargo build --release --quiet --manifest-path tests/fuzz/Cargo.toml --target "$host" --target-dir "$TARGET/fuzz"
  # Without the checks of the profile too, which what ships does not have: these are held to a time.
  CARGO_PROFILE_RELEASE_OVERFLOW_CHECKS=false CARGO_PROFILE_RELEASE_DEBUG_ASSERTIONS=false \
    cargo build --release --quiet --manifest-path tests/fuzz/Cargo.toml --target-dir "$TARGET/fuzz/plain"
  mkdir -p "$TARGET/fuzz/found"
  rm -rf "$TARGET/fuzz/first"
  DOTDOWN_WRITE_CORPUS=$TARGET/fuzz/first cargo test --quiet --test main first_inputs_hold >/dev/null ||
    fail 'the first inputs do not hold: run cargo test --test main first_inputs_hold'
  for target in "$@"; do
    say "fuzzing $target for $seconds s"
    mkdir -p "$TARGET/fuzz/corpus/$target"
    "$TARGET/fuzz/plain/release/$target" -timeout=1 -artifact_prefix="$TARGET/fuzz/found/$target-" tests/fuzz/corpus/"$target"/* \
      "$TARGET/fuzz/first/$target"/* 2>&1 | sed -n 's,^Executed .*/\(.*/.*\) in \([0-9]*\) ms.*,\2 ms  \1,p' | sort -rn | head -n 1 ||
      fail "$target takes longer than a second on an input of tests/fuzz/corpus/$target"
    "$TARGET/fuzz/$host/release/$target" -max_total_time="$seconds" -timeout=10 -max_len=8192 -verbosity=0 \
      -print_final_stats=1 -artifact_prefix="$TARGET/fuzz/found/$target-" \
      "$TARGET/fuzz/corpus/$target" "tests/fuzz/corpus/$target" ||
      fail "$target found something: run $TARGET/fuzz/$host/release/$target on the file in $TARGET/fuzz/found/"
  done
}
