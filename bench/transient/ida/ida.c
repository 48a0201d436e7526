/* Follows a circuit over time with SUNDIALS IDA and KLU, for comparison with
 * package circuit.
 *
 * Usage: ida FILE UNTIL SAMPLES TOLERANCE [anew] [all] [scaled] [fresh] [second]
 *
 * FILE lists the equations f(x, t) + C(x) dx/dt = 0 of a circuit that is cold
 * at time zero, one term a line; unknown 0 is ground:
 *
 *   unknowns N
 *   floor U VALUE SIZE          absolute error allowed, and usual size, of unknown U
 *   read U                      an unknown whose value is wanted
 *   static ROW COLUMN VALUE     a linear term of f
 *   moving ROW COLUMN VALUE     a linear term of C
 *   sine ROW PEAK OMEGA         f[ROW] -= PEAK sin(OMEGA t)
 *   pulse ROW LOW HIGH DELAY RISE FALL WIDTH PERIOD
 *   diode A B Q IS SWING IBV VBR RSWING CJ TT    Q: its charge as an unknown; 0 to do without
 *   channel D G S K LAMBDA VT
 *   regulator IN OUT COMMON I VSET DROPOUT LIMIT LINE RO IQ
 *
 * Options: anew starts the integrator anew at each corner of a pulse instead of
 * only stopping there; all lets algebraic unknowns take part in the error test;
 * scaled allows an absolute error of TOLERANCE times the usual size; fresh lets
 * Newton's method go on for longer and to a smaller error, with the Jacobian of
 * the present step; second keeps to the formulas of first and second order.
 * Where the integrator gives up it is started anew.
 *
 * Prints processor seconds, steps, evaluations, Newton iterations, failed error
 * tests, failed Newton solutions and new starts, then a line of values for each sample. The
 * Jacobian is exact.
 *
 * Built by run.sh only; nothing of it is part of the program.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <ida/ida.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_klu.h>
#include <sunmatrix/sunmatrix_sparse.h>

enum { MOST = 20000 };
static const double unit = 1e-9;    /* charges are counted in nanocoulomb */

typedef struct { int row, col, slot; double v; } term;
typedef struct { int row; double v[7]; } wave;
typedef struct { int a, b, q, aa, ab, ba, bb, aq, bq, qa, qb, qq; double is, swing, ibv, vbr, rswing, cj, tt; } diode;
typedef struct { int n[3], slot[3][3]; double k, lambda, vt; } channel;
typedef struct { int in, out, com, i, si, so, sc, ss, qa, qb, qc, qd; double v[6]; } regulator;

static int n, nz, nst, nmo, nsi, npu, ndi, nch, nre, nrd, reads[64];
static double *floors, *sizes;
static term st[MOST], mo[MOST];
static wave si[64], pu[64];
static diode di[MOST];
static channel ch[MOST];
static regulator re[64];
static sunindextype *ptr, *idx;
static int *pairs, npairs;

/* Pattern: positions are gathered as row * (n+1) + col, then sorted by column. */
static int by_column(const void *a, const void *b)
{
    int p = *(const int *)a, q = *(const int *)b, m = n + 1;
    return p % m != q % m ? p % m - q % m : p / m - q / m;
}
static void want(int r, int c)
{
    if (r && c) pairs[npairs++] = r * (n + 1) + c;
}
static int slot(int r, int c)
{
    sunindextype k;
    if (!r || !c) return nz;    /* the bin */
    for (k = ptr[c - 1]; k < ptr[c]; k++) if (idx[k] == r - 1) return k;
    abort();
}

static void pattern(void)
{
    int i, j, k, last = -1;
    pairs = malloc((nst + nmo + 9 * ndi + 9 * nch + 8 * nre + n) * sizeof *pairs);
    for (i = 0; i < nst; i++) want(st[i].row, st[i].col);
    for (i = 0; i < nmo; i++) want(mo[i].row, mo[i].col);
    for (i = 0; i < ndi; i++) {
        want(di[i].a, di[i].a); want(di[i].a, di[i].b); want(di[i].b, di[i].a); want(di[i].b, di[i].b);
        want(di[i].a, di[i].q); want(di[i].b, di[i].q); want(di[i].q, di[i].a); want(di[i].q, di[i].b); want(di[i].q, di[i].q);
    }
    for (i = 0; i < nch; i++) for (j = 0; j < 3; j++) for (k = 0; k < 3; k++) want(ch[i].n[j], ch[i].n[k]);
    for (i = 0; i < nre; i++) {
        regulator *r = &re[i];
        want(r->i, r->in); want(r->i, r->out); want(r->i, r->com); want(r->i, r->i);
        want(r->in, r->in); want(r->in, r->com); want(r->com, r->in); want(r->com, r->com);
    }
    for (i = 1; i <= n; i++) want(i, i);
    qsort(pairs, npairs, sizeof *pairs, by_column);
    ptr = calloc(n + 1, sizeof *ptr); idx = malloc(npairs * sizeof *idx);
    for (i = 0; i < npairs; i++) {
        if (pairs[i] == last) continue;
        last = pairs[i];
        idx[nz++] = last / (n + 1) - 1;
        ptr[last % (n + 1)] = nz;
    }
    for (i = 0; i < nst; i++) st[i].slot = slot(st[i].row, st[i].col);
    for (i = 0; i < nmo; i++) mo[i].slot = slot(mo[i].row, mo[i].col);
    for (i = 0; i < ndi; i++) {
        diode *d = &di[i];
        d->aa = slot(d->a, d->a); d->ab = slot(d->a, d->b); d->ba = slot(d->b, d->a); d->bb = slot(d->b, d->b);
        d->aq = slot(d->a, d->q); d->bq = slot(d->b, d->q); d->qa = slot(d->q, d->a); d->qb = slot(d->q, d->b); d->qq = slot(d->q, d->q);
    }
    for (i = 0; i < nch; i++) for (j = 0; j < 3; j++) for (k = 0; k < 3; k++) ch[i].slot[j][k] = slot(ch[i].n[j], ch[i].n[k]);
    for (i = 0; i < nre; i++) {
        regulator *r = &re[i];
        r->si = slot(r->i, r->in); r->so = slot(r->i, r->out); r->sc = slot(r->i, r->com); r->ss = slot(r->i, r->i);
        r->qa = slot(r->in, r->in); r->qb = slot(r->in, r->com); r->qc = slot(r->com, r->in); r->qd = slot(r->com, r->com);
    }
}

static void *grown(size_t size) { return calloc(n + 1, size); }

static void read_circuit(const char *name)
{
    char kind[32];
    FILE *f = fopen(name, "r");
    if (!f || fscanf(f, "unknowns %d", &n) != 1) { perror(name); exit(1); }
    floors = grown(sizeof *floors); sizes = grown(sizeof *sizes);
    while (fscanf(f, "%31s", kind) == 1) {
        int ok = 0, u;
        if (!strcmp(kind, "floor")) {
            ok = fscanf(f, "%d", &u) == 1 && fscanf(f, "%lf %lf", &floors[u], &sizes[u]) == 2;
        } else if (!strcmp(kind, "read")) {
            ok = fscanf(f, "%d", &reads[nrd++]) == 1;
        } else if (!strcmp(kind, "static") || !strcmp(kind, "moving")) {
            term *t = *kind == 's' ? &st[nst++] : &mo[nmo++];
            ok = fscanf(f, "%d %d %lf", &t->row, &t->col, &t->v) == 3;
        } else if (!strcmp(kind, "sine")) {
            wave *w = &si[nsi++];
            ok = fscanf(f, "%d %lf %lf", &w->row, &w->v[0], &w->v[1]) == 3;
        } else if (!strcmp(kind, "pulse")) {
            wave *w = &pu[npu++];
            double *v = w->v;
            ok = fscanf(f, "%d %lf %lf %lf %lf %lf %lf %lf", &w->row, v, v + 1, v + 2, v + 3, v + 4, v + 5, v + 6) == 8;
        } else if (!strcmp(kind, "diode")) {
            diode *d = &di[ndi++];
            ok = fscanf(f, "%d %d %d %lf %lf %lf %lf %lf %lf %lf", &d->a, &d->b, &d->q, &d->is, &d->swing, &d->ibv, &d->vbr, &d->rswing, &d->cj, &d->tt) == 10;
        } else if (!strcmp(kind, "channel")) {
            channel *c = &ch[nch++];
            ok = fscanf(f, "%d %d %d %lf %lf %lf", c->n, c->n + 1, c->n + 2, &c->k, &c->lambda, &c->vt) == 6;
        } else if (!strcmp(kind, "regulator")) {
            regulator *r = &re[nre++];
            double *v = r->v;
            ok = fscanf(f, "%d %d %d %d %lf %lf %lf %lf %lf %lf", &r->in, &r->out, &r->com, &r->i, v, v + 1, v + 2, v + 3, v + 4, v + 5) == 10;
        }
        if (!ok) { fprintf(stderr, "%s: cannot read %s\n", name, kind); exit(1); }
    }
    fclose(f);
    pattern();
}

static double ex(double u, double *slope)
{
    double e;
    if (u <= 250) return *slope = exp(u);
    *slope = e = exp(250.);
    return e * (1 + u - 250);
}

static double hinge(double x, double w, double *slope)
{
    double u = x / w, e;
    if (u > 35) { *slope = 1; return x; }
    if (u < -35) { *slope = exp(u); return w * *slope; }
    e = exp(-fabs(u));
    *slope = u > 0 ? 1 / (1 + e) : e / (1 + e);
    return w * log1p(e) + (u > 0 ? x : 0);
}

static double pulse(const double *v, double t)
{
    if (t < v[2]) return v[0];
    t -= v[2];
    if (v[6] > 0) t -= floor(t / v[6]) * v[6];
    if (t < v[3]) return v[0] + (v[1] - v[0]) * t / v[3];
    t -= v[3];
    if (t < v[5]) return v[1];
    t -= v[5];
    return t < v[4] ? v[1] + (v[0] - v[1]) * t / v[4] : v[0];
}

/* Current and conductance, charge, capacitance and its slope of a diode. */
static void diode_law(const diode *d, double v, double *i, double *g, double *q, double *c, double *dc)
{
    double de, e = ex(v / d->swing, &de);
    *i = d->is * (e - 1); *g = d->is * de / d->swing;
    *q = d->tt * *i; *c = d->tt * *g; *dc = *c / d->swing;
    if (d->ibv > 0) {
        e = ex(-(v + d->vbr) / d->rswing, &de);
        *i -= d->ibv * e; *g += d->ibv * de / d->rswing;
    }
    if (d->cj > 0) {
        const double built = 0.75, x = v - built / 2;
        if (x < 0) {
            double root = sqrt(1 - v / built);
            *q += d->cj * 2 * built * (1 - root); *c += d->cj / root; *dc += d->cj / (2 * built * root * root * root);
        } else {
            *q += d->cj * (2 * built * (1 - M_SQRT1_2) + M_SQRT2 * x + M_SQRT1_2 / built * x * x); *c += d->cj * M_SQRT2 * (1 + x / built); *dc += d->cj * M_SQRT2 / built;
        }
    }
}

static double square_law(const channel *c, double vov, double vds, double *gm, double *gds)
{
    double tilt = 1 + c->lambda * vds, core;
    *gm = *gds = 0;
    if (vov <= 0) return 0;
    if (vds < vov) {
        core = c->k * (vov - vds / 2) * vds;
        *gm = c->k * vds * tilt; *gds = c->k * (vov - vds) * tilt + core * c->lambda;
    } else {
        core = c->k / 2 * vov * vov;
        *gm = c->k * vov * tilt; *gds = core * c->lambda;
    }
    return core * tilt;
}

/* Current into the drain, and its derivatives by drain, gate and source. */
static double channel_law(const channel *c, const double *x, double *by)
{
    double d = x[c->n[0]], g = x[c->n[1]], s = x[c->n[2]], gm, gds, i;
    if (d >= s) {
        i = square_law(c, g - s - c->vt, d - s, &gm, &gds);
        by[0] = gds; by[1] = gm; by[2] = -gm - gds;
        return i;
    }
    i = square_law(c, g - d - c->vt, s - d, &gm, &gds);
    by[0] = gm + gds; by[1] = -gm; by[2] = -gds;
    return -i;
}

static double regulator_law(const regulator *r, const double *x, double *by)
{
    const double *v = r->v;
    double in = x[r->in] - x[r->com], out = x[r->out] - x[r->com], i = x[r->i], over = in - out;
    double wish = v[0] + v[3] * (over - 5), room = in - v[1], s, bs, ls;
    double target = wish - hinge(wish - room, 20e-3, &s);
    double steep = 1000 / v[2], bend = v[2] * 2e-3;
    double shut = steep * hinge(i - v[2], bend, &bs), trickling = v[2] * 1e-5, idle = 10 * steep * hinge(-i - 20 * trickling, trickling, &ls);
    double over_slope = -(1 - s) * v[3];
    by[0] = -s + over_slope; by[1] = 1 - over_slope; by[2] = s - 1;
    by[3] = v[4] + steep * bs + 10 * steep * ls;
    return out - target + v[4] * i + shut - idle;
}

static double *xs, *dxs, *fs, *js;   /* with ground in place 0 */

static int residual(realtype t, N_Vector y, N_Vector yp, N_Vector r, void *data)
{
    const double *x = xs, *dx = dxs;
    double *f = fs, by[4], i, g, q, c, dc;
    int k;
    (void)data;
    memcpy(xs + 1, N_VGetArrayPointer(y), n * sizeof *xs);
    memcpy(dxs + 1, N_VGetArrayPointer(yp), n * sizeof *dxs);
    memset(f, 0, (n + 1) * sizeof *f);
    for (k = 0; k < nst; k++) f[st[k].row] += st[k].v * x[st[k].col];
    for (k = 0; k < nmo; k++) f[mo[k].row] += mo[k].v * dx[mo[k].col];
    for (k = 0; k < nsi; k++) f[si[k].row] -= si[k].v[0] * sin(si[k].v[1] * t);
    for (k = 0; k < npu; k++) f[pu[k].row] -= pulse(pu[k].v, t);
    for (k = 0; k < ndi; k++) {
        const diode *d = &di[k];
        diode_law(d, x[d->a] - x[d->b], &i, &g, &q, &c, &dc);
        if (d->q) {
            i += unit * dx[d->q];
            f[d->q] += x[d->q] - q / unit;
        } else i += c * (dx[d->a] - dx[d->b]);
        f[d->a] += i; f[d->b] -= i;
    }
    for (k = 0; k < nch; k++) {
        i = channel_law(&ch[k], x, by);
        f[ch[k].n[0]] += i; f[ch[k].n[2]] -= i;
    }
    for (k = 0; k < nre; k++) {
        regulator *u = &re[k];
        f[u->i] += regulator_law(u, x, by);
        i = u->v[5] * tanh(x[u->in] - x[u->com]);
        f[u->in] += i; f[u->com] -= i;
    }
    memcpy(N_VGetArrayPointer(r), f + 1, n * sizeof *f);
    return 0;
}

static int jacobian(realtype t, realtype cj, N_Vector y, N_Vector yp, N_Vector r, SUNMatrix m, void *data,
                    N_Vector t1, N_Vector t2, N_Vector t3)
{
    const double *x = xs, *dx = dxs;
    double *j = js, by[4], i, g, q, c, dc;
    int k, a;
    (void)t; (void)r; (void)data; (void)t1; (void)t2; (void)t3;
    memcpy(xs + 1, N_VGetArrayPointer(y), n * sizeof *xs);
    memcpy(dxs + 1, N_VGetArrayPointer(yp), n * sizeof *dxs);
    memset(j, 0, (nz + 1) * sizeof *j);
    for (k = 0; k < nst; k++) j[st[k].slot] += st[k].v;
    for (k = 0; k < nmo; k++) j[mo[k].slot] += cj * mo[k].v;
    for (k = 0; k < ndi; k++) {
        const diode *d = &di[k];
        diode_law(d, x[d->a] - x[d->b], &i, &g, &q, &c, &dc);
        if (d->q) {
            j[d->aq] += cj * unit; j[d->bq] -= cj * unit;
            j[d->qa] -= c / unit; j[d->qb] += c / unit; j[d->qq] += 1;
        } else g += cj * c + dc * (dx[d->a] - dx[d->b]);
        j[d->aa] += g; j[d->bb] += g; j[d->ab] -= g; j[d->ba] -= g;
    }
    for (k = 0; k < nch; k++) {
        channel_law(&ch[k], x, by);
        for (a = 0; a < 3; a++) { j[ch[k].slot[0][a]] += by[a]; j[ch[k].slot[2][a]] -= by[a]; }
    }
    for (k = 0; k < nre; k++) {
        regulator *u = &re[k];
        regulator_law(u, x, by);
        j[u->si] += by[0]; j[u->so] += by[1]; j[u->sc] += by[2]; j[u->ss] += by[3];
        g = tanh(x[u->in] - x[u->com]); g = u->v[5] * (1 - g * g);
        j[u->qa] += g; j[u->qd] += g; j[u->qb] -= g; j[u->qc] -= g;
    }
    memcpy(SM_INDEXPTRS_S(m), ptr, (n + 1) * sizeof *ptr);
    memcpy(SM_INDEXVALS_S(m), idx, nz * sizeof *idx);
    memcpy(SM_DATA_S(m), j, nz * sizeof *j);
    return 0;
}

/* The next corner of a pulse after t. */
static double corner(double t)
{
    double next = INFINITY;
    int k, e;
    for (k = 0; k < npu; k++) {
        const double *v = pu[k].v;
        double at[5] = {0, v[3], v[3] + v[5], v[3] + v[5] + v[4], v[6]}, begin = v[2];
        if (v[6] > 0 && t >= v[2]) begin += floor((t - v[2]) / v[6] + 1e-9) * v[6];
        for (e = 0; e < 5; e++) if (begin + at[e] > t * (1 + 1e-12) + 1e-15 && begin + at[e] < next) next = begin + at[e];
    }
    return next;
}

static void *mem;
static int fresh, begun;

static void must(int flag, const char *what, double t)
{
    if (flag >= 0) return;
    fprintf(stderr, "%s fails with %d at %g s\n", what, flag, t);
    exit(1);
}

/* Adds up what was done since the last start. */
static long total[5];
static void tally(void)
{
    long k[5];
    int i;
    IDAGetNumSteps(mem, k); IDAGetNumResEvals(mem, k + 1); IDAGetNumNonlinSolvIters(mem, k + 2);
    IDAGetNumErrTestFails(mem, k + 3); IDAGetNumNonlinSolvConvFails(mem, k + 4);
    for (i = 0; i < 5; i++) total[i] += k[i];
}

/* Begins anew from the present differential unknowns. */
static void begin(double t, N_Vector y, N_Vector yp, double gap)
{
    tally();
    must(IDAReInit(mem, t, y, yp), "IDAReInit", t);
    if (IDACalcIC(mem, IDA_YA_YDP_INIT, t + 1e-3 * gap) >= 0) IDAGetConsistentIC(mem, y, yp);
    else must(IDAReInit(mem, t, y, yp), "IDAReInit", t);
}

/* Goes on to a time; where Newton's method gives up, from there anew. */
static void follow(double to, double *t, N_Vector y, N_Vector yp, double gap)
{
    int flag, tries;
    for (tries = 0; *t < to * (1 - 1e-13); ) {
        double before = *t;
        flag = IDASolve(mem, to, t, y, yp, IDA_NORMAL);
        if (flag >= 0) continue;
        if ((flag != IDA_CONV_FAIL && flag != IDA_ERR_FAIL) || begun++ > 100000) must(flag, "IDASolve", *t);
        IDAGetCurrentTime(mem, t);
        tries = *t > before ? 0 : tries + 1;
        if (tries > 5) must(flag, "IDASolve", *t);
        begin(*t, y, yp, gap * pow(0.1, tries));
    }
}

/* The current of each regulator while its pins are at zero volt, by halving. */
static void start_regulators(N_Vector y)
{
    double by[4], *x = fs;
    int k, j;
    for (k = 0; k < nre; k++) {
        double low = -re[k].v[2], high = re[k].v[2];
        memset(x, 0, (n + 1) * sizeof *x);
        for (j = 0; j < 200; j++) {
            x[re[k].i] = (low + high) / 2;
            *(regulator_law(&re[k], x, by) > 0 ? &high : &low) = x[re[k].i];
        }
        N_VGetArrayPointer(y)[re[k].i - 1] = x[re[k].i];
    }
}

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return t.tv_sec + 1e-9 * t.tv_nsec;
}

int main(int argc, char **argv)
{
    int anew = 0, all = 0, scaled = 0, second = 0, i, k, samples;
    double until, tolerance, start, spent, next, *values;
    realtype t = 0;
    SUNContext ctx;
    N_Vector y, yp, atol, id;
    SUNMatrix m;
    SUNLinearSolver ls;

    if (argc < 5) return 2;
    until = atof(argv[2]); samples = atoi(argv[3]); tolerance = atof(argv[4]);
    for (i = 5; i < argc; i++) {
        if (!strcmp(argv[i], "anew")) anew = 1;
        if (!strcmp(argv[i], "all")) all = 1;
        if (!strcmp(argv[i], "scaled")) scaled = 1;
        if (!strcmp(argv[i], "fresh")) fresh = 1;
        if (!strcmp(argv[i], "second")) second = 1;
    }
    read_circuit(argv[1]);
    xs = grown(sizeof *xs); dxs = grown(sizeof *dxs); fs = grown(sizeof *fs); js = malloc((nz + 1) * sizeof *js);
    values = malloc((size_t)samples * nrd * sizeof *values);

    SUNContext_Create(NULL, &ctx);
    y = N_VNew_Serial(n, ctx); yp = N_VClone(y); atol = N_VClone(y); id = N_VClone(y);
    N_VConst(0, y); N_VConst(0, yp); N_VConst(0, id);
    for (i = 1; i <= n; i++) N_VGetArrayPointer(atol)[i - 1] = scaled ? tolerance * sizes[i] : floors[i];
    for (i = 0; i < nmo; i++) if (mo[i].row && mo[i].col) N_VGetArrayPointer(id)[mo[i].col - 1] = 1;
    for (i = 0; i < ndi; i++) {
        if (di[i].cj == 0 && di[i].tt == 0) continue;
        if (di[i].q) N_VGetArrayPointer(id)[di[i].q - 1] = 1;
        else {
            if (di[i].a) N_VGetArrayPointer(id)[di[i].a - 1] = 1;
            if (di[i].b) N_VGetArrayPointer(id)[di[i].b - 1] = 1;
        }
    }
    mem = IDACreate(ctx);
    must(IDAInit(mem, residual, 0, y, yp), "IDAInit", 0);
    IDASVtolerances(mem, tolerance, atol);
    IDASetId(mem, id);
    IDASetSuppressAlg(mem, !all);
    IDASetMaxNumSteps(mem, -1);
    IDASetMaxErrTestFails(mem, 30);
    IDASetMaxConvFails(mem, 20);
    IDASetErrFile(mem, NULL);
    if (second) IDASetMaxOrd(mem, 2);
    if (fresh) {
        IDASetNonlinConvCoef(mem, 1e-3);
        IDASetMaxNonlinIters(mem, 10);
        IDASetDeltaCjLSetup(mem, 0.01);
    }
    m = SUNSparseMatrix(n, n, nz, CSC_MAT, ctx);
    ls = SUNLinSol_KLU(y, m, ctx);
    must(IDASetLinearSolver(mem, ls, m), "IDASetLinearSolver", 0);
    IDASetJacFn(mem, jacobian);

    start = now();
    start_regulators(y);
    begin(0, y, yp, until / samples);
    next = corner(0);
    for (i = 1; i <= samples; i++) {
        double wanted = until * i / samples;
        while (next <= wanted) {
            IDASetStopTime(mem, next);
            follow(next, &t, y, yp, until / samples);
            if (anew) begin(next, y, yp, until / samples);
            next = corner(next);
        }
        if (!isinf(next)) IDASetStopTime(mem, next);
        follow(wanted, &t, y, yp, until / samples);
        for (k = 0; k < nrd; k++) values[(i - 1) * nrd + k] = N_VGetArrayPointer(y)[reads[k] - 1];
    }
    spent = now() - start;
    tally();
    printf("%.9g %ld %ld %ld %ld %ld %d\n", spent, total[0], total[1], total[2], total[3], total[4], begun);
    for (i = 0; i < samples; i++) {
        for (k = 0; k < nrd; k++) printf("%.12g ", values[i * nrd + k]);
        printf("\n");
    }
    return 0;
}
