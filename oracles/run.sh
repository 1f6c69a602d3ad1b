#!/usr/bin/env bash
# Runs every oracle against the built program and adds up. Usage: oracles/run.sh [--require]
# --require: a missing tool is a failure, not a skip.
set -u
here=$(cd "$(dirname "$0")" && pwd) || exit 1
LOOPWRIGHT_BIN=$(realpath -m "${LOOPWRIGHT_BIN:-$here/../target/release/loopwright}")
export LOOPWRIGHT_BIN PYTHONDONTWRITEBYTECODE=1
cd "$here" || exit 1
require=no
[ "${1:-}" = "--require" ] && require=yes

passed=0
failed=0

if ! command -v python3 >/dev/null || ! python3 -c 'import sys; sys.exit(sys.version_info < (3, 9))'; then
    echo "skipped every oracle: python3 (3.9 or later) is not installed"
    [ "$require" = yes ] && { echo "0 passed, 1 failed"; exit 1; }
    echo "0 passed, 0 failed"
    exit 0
fi
if [ ! -x "$LOOPWRIGHT_BIN" ]; then
    echo "no program to ask: cargo build --release, or set LOOPWRIGHT_BIN"
    echo "0 passed, 1 failed"
    exit 1
fi

# The first Python that has `cryptography` (Debian's package goes with /usr/bin/python3).
secret_python=
for python in python3 /usr/bin/python3; do
    if [ -z "$secret_python" ] && "$python" -c 'import cryptography' 2>/dev/null; then
        secret_python=$python
    fi
done

# The first Python that has the other solvers: the one that `check` made, or any.
target=$(dirname "$(dirname "$LOOPWRIGHT_BIN")")
solver_python=
schedule_python=
for python in "$target/oracles/bin/python" python3; do
    if [ -z "$solver_python" ] && "$python" -c 'import highspy' 2>/dev/null; then
        solver_python=$python
    fi
    if [ -z "$schedule_python" ] && "$python" -c 'import ortools' 2>/dev/null; then
        schedule_python=$python
    fi
done

# Two run side by side, each into a file of its own; what they said is printed in the order of this page.
said=$(mktemp -d) || exit 1
trap 'rm -rf "$said"' EXIT
asked=()

one() {
    local python=python3 number
    number=$(printf '%03d' ${#asked[@]})
    asked+=("$1")
    [[ $1 == signal_* && -n $secret_python ]] && python=$secret_python
    [[ $1 == allocate.py ]] && python=$solver_python
    [[ $1 == cutover.py && -n $schedule_python ]] && python=$schedule_python
    while [ "$(jobs -rp | wc -l)" -ge 2 ]; do wait -n; done
    { "$python" "$@" >"$said/$number" 2>&1; echo $? >"$said/$number.status"; } &
}

# For the solvers that have a time limit of their own and use both cores.
alone() {
    wait
    one "$@"
    wait
}

# Adds up what an oracle said; one that left no status has failed.
count() {
    local name=$1 number=$2 output status line
    output=$(cat "$said/$number")
    status=$(cat "$said/$number.status" 2>/dev/null || echo 1)
    line=$(tail -n 1 <<<"$output")
    if [[ "$line" =~ ^([0-9]+)\ passed,\ ([0-9]+)\ failed$ ]]; then
        passed=$((passed + BASH_REMATCH[1]))
        failed=$((failed + BASH_REMATCH[2]))
        # A script that ends badly after a clean count has still failed.
        [ "$status" -ne 0 ] && [ "${BASH_REMATCH[2]}" -eq 0 ] && failed=$((failed + 1))
    else
        failed=$((failed + 1))
    fi
    # What it says about times is worth reading whatever the count.
    [[ "$status" -ne 0 || $name == allocate.py ]] && head -n -1 <<<"$output"
    printf '%-24s %s\n' "$name" "$line"
}

one reference.py --selftest
for script in ngspice_networks.py supply_network.py; do
    if command -v ngspice >/dev/null; then
        one "$script"
    elif [ "$require" = yes ]; then
        printf '%-24s %s\n' "$script" "ngspice is not installed"
        failed=$((failed + 1))
    else
        echo "skipped $script: ngspice is not installed (Debian package: ngspice)"
    fi
done
if command -v pdftotext >/dev/null; then
    one pack.py
elif [ "$require" = yes ]; then
    echo "pack.py                  poppler-utils is not installed"
    failed=$((failed + 1))
else
    echo "skipped pack.py: pdftotext is not installed (Debian package: poppler-utils)"
fi
for script in corners.py masking.py modes.py worked.py identify_exact.py contract.py supply_battery.py supply_rules.py signal_list.py kit.py; do
    one "$script"
done
if [ -n "$secret_python" ]; then
    for script in signal_vectors.py signal_exchange.py signal_senders.py; do
        one "$script"
    done
elif [ "$require" = yes ]; then
    echo "signal_*.py              Python's cryptography is not installed"
    failed=$((failed + 1))
else
    echo "skipped signal_*.py: Python's cryptography is not installed (Debian package: python3-cryptography)"
fi

# schemathesis comes from PyPI, into an environment that `check` makes.
if [ -x "${SERVE_API_VENV:-/nowhere}/bin/schemathesis" ] || command -v schemathesis >/dev/null; then
    one serve_api.py
elif [ "$require" = yes ]; then
    echo "serve_api.py             schemathesis is not installed"
    failed=$((failed + 1))
else
    echo "skipped serve_api.py: schemathesis is not installed (PyPI: schemathesis; SERVE_API_VENV names its environment)"
fi

# The store's statements are told by an example of it; PostgreSQL is started for this alone.
export LOOPWRIGHT_STATEMENTS=${LOOPWRIGHT_STATEMENTS:-$target/release/examples/statements}
if python3 -c 'import postgres, sys; sys.exit(postgres.programs() is None)'; then
    one store_sql.py
elif [ "$require" = yes ]; then
    echo "store_sql.py             PostgreSQL is not installed"
    failed=$((failed + 1))
else
    echo "skipped store_sql.py: PostgreSQL is not installed (Debian package: postgresql)"
fi

# Other solvers of allocations and of schedules.
export LOOPWRIGHT_INSTANCES=${LOOPWRIGHT_INSTANCES:-$target/release/examples/instances}
if [ -n "$solver_python" ]; then
    alone allocate.py
elif [ "$require" = yes ]; then
    echo "allocate.py              Python's highspy is not installed"
    failed=$((failed + 1))
else
    echo "skipped allocate.py: Python's highspy is not installed (PyPI: highspy)"
fi

if [ -n "$schedule_python" ]; then
    alone cutover.py
elif [ "$require" = yes ]; then
    echo "cutover.py               Python's ortools is not installed"
    failed=$((failed + 1))
else
    echo "skipped cutover.py: Python's ortools is not installed (PyPI: ortools)"
fi

wait
for at in "${!asked[@]}"; do count "${asked[$at]}" "$(printf '%03d' "$at")"; done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
