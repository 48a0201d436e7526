#!/bin/sh
# Times package circuit beside SUNDIALS IDA with KLU on the same circuits.
# Needs a C compiler and the headers and libraries of both (Debian:
# libsundials-dev, libsuitesparse-dev).
# Options are passed on, as in: bench/transient/run.sh -only flyback -all
set -eu
cd "$(dirname "$0")"
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
${CC:-cc} -O2 -I/usr/include/suitesparse -o "$folder/ida" ida/ida.c \
	-lsundials_ida -lsundials_nvecserial -lsundials_sunmatrixsparse -lsundials_sunlinsolklu -lklu -lm
go build -o "$folder/ours" .
"$folder/ours" -peer "$folder/ida" "$@"
