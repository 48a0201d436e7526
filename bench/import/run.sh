#!/bin/sh
# Times the import of a long table beside DuckDB and pandas, the spectrum of four
# million readings beside the bare transform, and the drawing of windows; all in
# one run, in turn, on the same data.
#
# Needs node with npm (DuckDB is fetched as @duckdb/node-api into a temporary
# folder) and Python with pandas (Debian: python3-pandas). Without one of them
# that side is left out. Options are passed on, as in:
#   bench/import/run.sh -rows 1000000 -rounds 3
set -eu
cd "$(dirname "$0")"
folder=${FOLDER:-$(mktemp -d)}
[ -n "${FOLDER:-}" ] || trap 'rm -rf "$folder"' EXIT
if command -v npm >/dev/null && [ ! -d "$folder/node_modules" ]; then
  (cd "$folder" && npm install --silent --no-audit --no-fund @duckdb/node-api@1.5.6-r.1 >/dev/null) || echo "DuckDB is not to be had and is left out" >&2
fi
cp peer/duck.js "$folder/"
go build -o "$folder/ours" .
unset OPENBLAS_NUM_THREADS OPENBLAS_CORETYPE || true

"$folder/ours" -folder "$folder" -pandas peer/pandas_read.py "$@"
