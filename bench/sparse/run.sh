#!/bin/sh
# Times package circuit/sparse beside SuiteSparse KLU on the same matrices.
# Needs a C compiler and KLU's header and library (Debian: libsuitesparse-dev).
# Options are passed on, as in: bench/sparse/run.sh -sizes 50,500 unscaled
set -eu
cd "$(dirname "$0")"
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
${CC:-cc} -O2 -o "$folder/klu" klu/klu.c -lklu -lm
go build -o "$folder/ours" .
"$folder/ours" -peer "$folder/klu" "$@"
