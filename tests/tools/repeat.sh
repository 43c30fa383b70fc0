#!/usr/bin/env bash
# Runs the test command again and again on one commit, perhaps on a busy machine, and prints a row for each run:
#   tests/tools/repeat.sh RUNS [BUSY]
# RUNS times `./build.sh test` while BUSY processes (default 0) keep the processors at work. It ends at nothing: a red run
# is a row like any other, and its log is kept as target/repeat-N.log. The exit code says whether all were green.
set -uo pipefail
cd "$(dirname "$0")/../.."

runs=${1:?usage: tests/tools/repeat.sh RUNS [BUSY]}
busy=()
trap '[ ${#busy[@]} = 0 ] || kill "${busy[@]}" 2>/dev/null' EXIT
for ((i = 0; i < ${2:-0}; i++)); do
  sh -c 'while :; do :; done' &
  busy+=($!)
done

red=0
mkdir -p target
for ((run = 1; run <= runs; run++)); do
  begun=$SECONDS
  ./build.sh test >"target/repeat-$run.log" 2>&1 </dev/null
  code=$?
  [ $code = 0 ] || red=$((red + 1))
  printf 'run %d of %d, %d busy: exit %d, %d s, %s\n' "$run" "$runs" "${2:-0}" $code $((SECONDS - begun)) \
    "$(grep -aE '^[0-9]+ passed, [0-9]+ failed$' "target/repeat-$run.log" | tail -n 1)"
done
[ $red = 0 ]
