/* Times SuiteSparse KLU on a matrix, for comparison with package sparse.
 *
 * Usage: klu MATRIX REPEATS [unscaled]. MATRIX is a Matrix Market coordinate file, real or
 * complex. Rows are scaled by their largest value, as KLU does by default, unless
 * the third argument says otherwise. Prints the least time in nanoseconds of analysis, of the first
 * factorization, of the first refactorization after it, of a later one, and of a solve, then the number of
 * values in the factors, and the largest residual.
 *
 * Built by run.sh only; nothing of it is part of the program.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <suitesparse/klu.h>

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return 1e9 * t.tv_sec + t.tv_nsec;
}

static int *ap, *ai, n, nz, parts;
static double *ax;

static void read_matrix(const char *name)
{
    char line[200];
    int k, r, c, *rows, *cols;
    double *v;
    FILE *f = fopen(name, "r");
    if (!f || !fgets(line, sizeof line, f)) { perror(name); exit(1); }
    parts = strstr(line, "complex") ? 2 : 1;
    if (fscanf(f, "%d %d %d", &n, &n, &nz) != 3) exit(1);
    rows = malloc(nz * sizeof *rows); cols = malloc(nz * sizeof *cols); v = malloc(2 * nz * sizeof *v);
    ap = calloc(n + 2, sizeof *ap); ai = malloc(nz * sizeof *ai); ax = malloc(parts * nz * sizeof *ax);
    for (k = 0; k < nz; k++) {
        if (fscanf(f, "%d %d %lf", &r, &c, &v[2 * k]) != 3) exit(1);
        if (parts == 2 && fscanf(f, "%lf", &v[2 * k + 1]) != 1) exit(1);
        rows[k] = r - 1; cols[k] = c - 1;
        ap[c + 1]++;
    }
    fclose(f);
    for (k = 0; k < n; k++) ap[k + 2] += ap[k + 1];
    for (k = 0; k < nz; k++) {
        int at = ap[cols[k] + 1]++;
        ai[at] = rows[k];
        for (r = 0; r < parts; r++) ax[parts * at + r] = v[2 * k + r];
    }
    free(rows); free(cols); free(v);
}

int main(int argc, char **argv)
{
    klu_common c;
    klu_symbolic *s = NULL;
    klu_numeric *num = NULL;
    double *b, best[5] = {1e30, 1e30, 1e30, 1e30, 1e30}, t, worst = 0;
    int i, j, k, repeats;
    if (argc < 3 || argc > 4 || (argc == 4 && strcmp(argv[3], "unscaled"))) {
        fprintf(stderr, "usage: klu MATRIX REPEATS [unscaled]\n");
        return 2;
    }
    read_matrix(argv[1]);
    repeats = atoi(argv[2]);
    b = malloc(parts * n * sizeof *b);
    klu_defaults(&c);
    if (argc == 4) c.scale = 0;
    for (i = 0; i < repeats; i++) {
        if (i % 10 == 0) { /* the first steps are slower: fewer of them */
            klu_free_symbolic(&s, &c);
            t = now(); s = klu_analyze(n, ap, ai, &c); t = now() - t;
            if (!s) return 3;
            if (t < best[0]) best[0] = t;
            if (parts == 1) klu_free_numeric(&num, &c); else klu_z_free_numeric(&num, &c);
            t = now(); num = parts == 1 ? klu_factor(ap, ai, ax, s, &c) : klu_z_factor(ap, ai, ax, s, &c); t = now() - t;
            if (!num) return 4;
            if (t < best[1]) best[1] = t;
        }
        t = now();
        if (!(parts == 1 ? klu_refactor(ap, ai, ax, s, num, &c) : klu_z_refactor(ap, ai, ax, s, num, &c))) return 5;
        t = now() - t;
        k = i % 10 == 0 ? 2 : 3;
        if (t < best[k]) best[k] = t;
        for (k = 0; k < n; k++) { b[parts * k] = 1; if (parts == 2) b[2 * k + 1] = 0; }
        t = now();
        if (!(parts == 1 ? klu_solve(s, num, n, 1, b, &c) : klu_z_solve(s, num, n, 1, b, &c))) return 6;
        t = now() - t;
        if (t < best[4]) best[4] = t;
    }
    { /* residual of A x = 1, relative to the largest term of each row */
        double *r = calloc(2 * n, sizeof *r), *m = calloc(n, sizeof *m);
        for (j = 0; j < n; j++)
            for (k = ap[j]; k < ap[j + 1]; k++) {
                double re = parts == 1 ? ax[k] * b[j] : ax[2 * k] * b[2 * j] - ax[2 * k + 1] * b[2 * j + 1];
                double im = parts == 1 ? 0 : ax[2 * k] * b[2 * j + 1] + ax[2 * k + 1] * b[2 * j];
                r[2 * ai[k]] += re; r[2 * ai[k] + 1] += im;
                if (hypot(re, im) > m[ai[k]]) m[ai[k]] = hypot(re, im);
            }
        for (k = 0; k < n; k++) {
            double e = hypot(r[2 * k] - 1, r[2 * k + 1]) / fmax(1, m[k]);
            if (e > worst) worst = e;
        }
    }
    printf("%.0f %.0f %.0f %.0f %.0f %d %.2e\n", best[0], best[1], best[2], best[3], best[4], num->lnz + num->unz, worst);
    return 0;
}
