/* Statics of random rigs, by a route of its own.
 *
 * Unknowns are the places of the free points, the tension of every leg and the end force of every
 * span, all at once. A leg's law enters as a complementarity: tension >= 0, slack >= 0, product 0,
 * smoothed while far from the solution. A span is an elastic catenary in closed form: its law is
 * straight between two stretch points, so that it falls into pieces with elementary integrals.
 * Tensions and end forces are eliminated one by one, what is left is a banded system for the points.
 *
 * Reads rigs as numbers from standard input (written by rigs.py), prints one line a case.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { POINTS = 96, LINKS = 96, PATH = 8, PARTS = 8, KNOTS = 8, LAWS = 48, SPANS = 48, BITS = 40,
       VARIANTS = 48, LOADS = 4, GROUND = 32, ROWS = 3 * POINTS };
static const double G = 9.80665, AIR = 1.25, DRAG = 1.2;

/* ---- laws: stretch at tension, straight between knots, the last slope goes on ---- */
typedef struct { int n; double t[KNOTS], e[KNOTS]; } Law;
static Law laws[LAWS];

/* Stretch is e0 + T * flex for T between knots k - 1 and k. */
static void law_piece(const Law *l, int k, double *e0, double *flex) {
    if (k >= l->n) k = l->n - 1;
    if (k < 1) k = 1;
    *flex = (l->e[k] - l->e[k - 1]) / (l->t[k] - l->t[k - 1]);
    *e0 = l->e[k] - *flex * l->t[k];
}
static int law_index(const Law *l, double t) {
    int k = 1;
    while (k < l->n - 1 && t > l->t[k]) k++;
    return k;
}

/* ---- the net of one case ---- */
typedef struct { int law; double len, w[3]; } Bit;            /* a uniform stretch of heavy line */
typedef struct { int a, b, n; Bit bit[BITS]; double f[3], w[3]; double r[3], inv[3][3]; } Span;
typedef struct { int n, path[PATH], parts, law[PARTS]; double len[PARTS], t, scale, slack, dt; double q[PATH][3], leg[PATH]; double length, way, flex, damp, phi; } Link;
typedef struct { double at[3], load[3]; int fixed, row; } Point;
static struct { int points, links, spans, rows; Point point[POINTS]; Link link[LINKS]; Span span[SPANS]; } net;

static double dot(const double *a, const double *b) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }

/* Adds to r what a uniform bit under end force f spans, with one straight piece of its law. */
static void catenary(const double *f, const double *w, double s, double e0, double flex, double *r, double j[3][3]) {
    double weight = sqrt(dot(w, w));
    for (int i = 0; i < 3; i++) r[i] += flex * (f[i] * s - w[i] * s * s / 2);
    double n[3], p[3], a, h2, one, along, c_pp, c_pn, c_nn;
    if (weight * s < 1e-9 * sqrt(dot(f, f))) {                 /* as good as weightless */
        double t = sqrt(dot(f, f));
        for (int i = 0; i < 3; i++) r[i] += (1 + e0) * f[i] / t * s;
        if (j) for (int i = 0; i < 3; i++) for (int k = 0; k < 3; k++)
            j[i][k] += (i == k) * flex * s + (1 + e0) * s * ((i == k) - f[i] * f[k] / (t * t)) / t;
        return;
    }
    for (int i = 0; i < 3; i++) n[i] = w[i] / weight;
    a = dot(f, n);
    for (int i = 0; i < 3; i++) p[i] = f[i] - a * n[i];
    h2 = dot(p, p);
    double u0 = a, u1 = a - weight * s, t0 = sqrt(h2 + u0 * u0), t1 = sqrt(h2 + u1 * u1);
    double dt = weight * s * (u0 + u1) / (t0 + t1);            /* t0 - t1 without cancellation */
    along = dt / weight;
    one = u0 + u1 > 0 ? log1p((weight * s + dt) / (u1 + t1)) / weight : log1p((weight * s - dt) / (t0 - u0)) / weight;
    for (int i = 0; i < 3; i++) r[i] += (1 + e0) * (p[i] * one + n[i] * along);
    if (!j) return;
    double turn = (u0 / t0 - u1 / t1) / weight;                /* integral of h2 / T^3 */
    c_pp = turn / fmax(h2, 1e-300);
    c_pn = (1 / t1 - 1 / t0) / weight;
    c_nn = one - turn;
    for (int i = 0; i < 3; i++) for (int k = 0; k < 3; k++)
        j[i][k] += (i == k) * (flex * s + (1 + e0) * one)
                 - (1 + e0) * (p[i] * p[k] * c_pp + (p[i] * n[k] + n[i] * p[k]) * c_pn + n[i] * n[k] * c_nn);
}

/* The same with the whole law: cut where the tension crosses a knot. Moves f to the bit's end. */
static void bit_span(const Bit *b, double len, double *f, double *r, double j[3][3]) {
    const Law *l = &laws[b->law];
    double cut[2 * KNOTS + 2];
    int cuts = 0;
    double w2 = dot(b->w, b->w), fw = dot(f, b->w), ff = dot(f, f);
    cut[cuts++] = 0;
    if (w2 > 0)
        for (int k = 1; k < l->n - 1; k++) {
            double root = fw * fw - w2 * (ff - l->t[k] * l->t[k]);
            if (root <= 0) continue;
            root = sqrt(root);
            for (int sign = -1; sign <= 1; sign += 2) {
                double s = (fw + sign * root) / w2;
                if (s > 0 && s < len) {
                    int at = cuts++;
                    while (at > 1 && cut[at - 1] > s) { cut[at] = cut[at - 1]; at--; }
                    cut[at] = s;
                }
            }
        }
    cut[cuts] = len;
    for (int c = 0; c < cuts; c++) {
        double s = cut[c + 1] - cut[c], g[3], m[3], e0, flex;
        for (int i = 0; i < 3; i++) { g[i] = f[i] - b->w[i] * cut[c]; m[i] = g[i] - b->w[i] * s / 2; }
        law_piece(l, law_index(l, sqrt(dot(m, m))), &e0, &flex);
        catenary(g, b->w, s, e0, flex, r, j);
    }
    for (int i = 0; i < 3; i++) f[i] -= b->w[i] * len;
}

static int invert(double m[3][3], double o[3][3]) {
    double c0 = m[1][1] * m[2][2] - m[1][2] * m[2][1], c1 = m[1][2] * m[2][0] - m[1][0] * m[2][2], c2 = m[1][0] * m[2][1] - m[1][1] * m[2][0];
    double d = m[0][0] * c0 + m[0][1] * c1 + m[0][2] * c2;
    if (!(fabs(d) > 0)) return 0;
    o[0][0] = c0 / d; o[1][0] = c1 / d; o[2][0] = c2 / d;
    o[0][1] = (m[0][2] * m[2][1] - m[0][1] * m[2][2]) / d;
    o[1][1] = (m[0][0] * m[2][2] - m[0][2] * m[2][0]) / d;
    o[2][1] = (m[0][1] * m[2][0] - m[0][0] * m[2][1]) / d;
    o[0][2] = (m[0][1] * m[1][2] - m[0][2] * m[1][1]) / d;
    o[1][2] = (m[0][2] * m[1][0] - m[0][0] * m[1][2]) / d;
    o[2][2] = (m[0][0] * m[1][1] - m[0][1] * m[1][0]) / d;
    return 1;
}

/* ---- the system for the points: lower triangle, each row from its first entry ---- */
static double k_[ROWS][ROWS], rhs[ROWS];
static int first_[ROWS], wire[POINTS];

static void add_block(int p, int q, double m[3][3], double sign) {
    int a = net.point[p].row, b = net.point[q].row;
    if (a < 0 || b < 0 || b > a) return;                       /* the mirror image brings the rest */
    for (int i = 0; i < 3; i++) for (int j = 0; j < 3; j++) k_[a + i][b + j] += sign * m[i][j];
}
static int factor(void) {
    for (int i = 0; i < net.rows; i++) {
        for (int j = first_[i]; j <= i; j++) {
            double s = k_[i][j];
            int from = first_[i] > first_[j] ? first_[i] : first_[j];
            for (int m = from; m < j; m++) s -= k_[i][m] * k_[j][m];
            if (i == j) { if (!(s > 0)) return 0; k_[i][i] = sqrt(s); } else k_[i][j] = s / k_[j][j];
        }
    }
    for (int i = 0; i < net.rows; i++) {
        double s = rhs[i];
        for (int m = first_[i]; m < i; m++) s -= k_[i][m] * rhs[m];
        rhs[i] = s / k_[i][i];
    }
    for (int i = net.rows - 1; i >= 0; i--) {
        rhs[i] /= k_[i][i];
        for (int m = first_[i]; m < i; m++) rhs[m] -= k_[i][m] * rhs[i];
    }
    return 1;
}

/* Rows by x, so that neighbours stand together; the first entry of each row. */
static void number_rows(void) {
    int order[POINTS], n = 0, rank[POINTS];
    for (int p = 0; p < net.points; p++) {
        net.point[p].row = -1;
        if (net.point[p].fixed) continue;
        int at = n++;
        while (at > 0 && net.point[order[at - 1]].at[0] > net.point[p].at[0]) { order[at] = order[at - 1]; at--; }
        order[at] = p;
    }
    for (int i = 0; i < n; i++) { net.point[order[i]].row = 3 * i; rank[i] = i; }
    for (int m = 0; m < net.links; m++)
        for (int a = 0; a < net.link[m].n; a++) for (int b = 0; b < net.link[m].n; b++) {
            int i = net.point[net.link[m].path[a]].row, j = net.point[net.link[m].path[b]].row;
            if (i >= 0 && j >= 0 && j / 3 < rank[i / 3]) rank[i / 3] = j / 3;
        }
    for (int m = 0; m < net.spans; m++) {
        int i = net.point[net.span[m].a].row, j = net.point[net.span[m].b].row;
        if (i >= 0 && j >= 0) { int lo = i < j ? i : j, hi = i < j ? j : i; if (lo / 3 < rank[hi / 3]) rank[hi / 3] = lo / 3; }
    }
    net.rows = 3 * n;
    for (int i = 0; i < net.rows; i++) first_[i] = 3 * rank[i / 3];
}

static void link_shape(Link *l) {
    l->way = 0;
    for (int i = 0; i + 1 < l->n; i++) {
        double *a = net.point[l->path[i]].at, *b = net.point[l->path[i + 1]].at, d[3] = {b[0] - a[0], b[1] - a[1], b[2] - a[2]};
        l->leg[i] = fmax(sqrt(dot(d, d)), 1e-9);
        for (int k = 0; k < 3; k++) l->q[i][k] = d[k] / l->leg[i];
        l->way += l->leg[i];
    }
    double t = fmax(l->t, 0);
    l->length = l->flex = 0;
    for (int i = 0; i < l->parts; i++) {
        double e0, flex;
        const Law *law = &laws[l->law[i]];
        law_piece(law, law_index(law, t), &e0, &flex);
        l->length += l->len[i] * (1 + e0 + flex * l->t);
        l->flex += l->len[i] * flex;
    }
    l->slack = l->length - l->way;
}

static double worst_force, worst_gap, largest;
static int iterations;

/* One solve from where the net stands. */
static int solve(double mu, int most) {
    number_rows();
    for (int m = 0; m < net.links; m++) { Link *l = &net.link[m]; double keep = l->t; l->t = 0; link_shape(l); l->scale = 1 / fmax(l->flex, 1e-9); l->t = keep; }
    double shift = 1e-7;
    for (int round = 0; round < most; round++) {
        iterations++;
        for (int i = 0; i < net.rows; i++) memset(&k_[i][first_[i]], 0, sizeof(double) * (i - first_[i] + 1));
        memset(rhs, 0, sizeof(double) * net.rows);
        worst_force = worst_gap = 0; largest = 1;
        double force[POINTS][3];
        for (int p = 0; p < net.points; p++) memcpy(force[p], net.point[p].load, sizeof force[p]);
        double extra[POINTS][3];                               /* what elimination brings to the right side */
        memset(extra, 0, sizeof(double) * 3 * net.points);
        for (int m = 0; m < net.spans; m++) {
            Span *s = &net.span[m];
            double f[3] = {s->f[0], s->f[1], s->f[2]}, r[3] = {0, 0, 0}, j[3][3] = {{0}};
            largest = fmax(largest, sqrt(dot(f, f)));
            for (int b = 0; b < s->n; b++) bit_span(&s->bit[b], s->bit[b].len, f, r, j);
            for (int i = 0; i < 3; i++) {
                s->r[i] = r[i] - (net.point[s->b].at[i] - net.point[s->a].at[i]);
                worst_gap = fmax(worst_gap, fabs(s->r[i]));
                force[s->a][i] += s->f[i];
                force[s->b][i] -= f[i];
            }
            if (!invert(j, s->inv)) return 0;
            for (int i = 0; i < 3; i++) {
                double g = dot(s->inv[i], s->r);
                extra[s->a][i] -= g; extra[s->b][i] += g;
            }
            add_block(s->a, s->a, s->inv, 1); add_block(s->b, s->b, s->inv, 1);
            add_block(s->a, s->b, s->inv, -1); add_block(s->b, s->a, s->inv, -1);
        }
        for (int m = 0; m < net.links; m++) {
            Link *l = &net.link[m];
            link_shape(l);
            largest = fmax(largest, l->t);
            /* smoothed min(T, c s): derivatives pa by T and pb by c s */
            double b = l->scale * l->slack, d = l->t - b, root = sqrt(d * d + 4 * mu * mu), pa, pb;
            double phi = l->t + b - root;
            double lean = root > 0 ? d / root : 0;
            pa = 1 - lean; pb = 1 + lean;
            double hold = pa + pb * l->scale * l->flex;        /* by T in all */
            l->damp = pb * l->scale / hold;                    /* tension per metre of way */
            l->dt = -phi / hold;
            /* what matters is the gap in metres while taut, the tension while slack */
            double fault = fabs(phi) / 2;
            worst_gap = fmax(worst_gap, fault / l->scale);
            for (int i = 0; i + 1 < l->n; i++) for (int k = 0; k < 3; k++) {
                force[l->path[i]][k] += l->t * l->q[i][k]; force[l->path[i + 1]][k] -= l->t * l->q[i][k];
            }
            double g[PATH][3];                                 /* way by each point of the path */
            for (int i = 0; i < l->n; i++) for (int k = 0; k < 3; k++)
                g[i][k] = (i > 0 ? l->q[i - 1][k] : 0) - (i + 1 < l->n ? l->q[i][k] : 0);
            for (int i = 0; i < l->n; i++) {
                for (int k = 0; k < 3; k++) extra[l->path[i]][k] -= l->dt * g[i][k];
                for (int o = 0; o < l->n; o++) {
                    double blk[3][3];
                    for (int a = 0; a < 3; a++) for (int c = 0; c < 3; c++) blk[a][c] = l->damp * g[i][a] * g[o][c];
                    /* the same point twice in a path is met twice here, as it must be */
                    add_block(l->path[i], l->path[o], blk, 1);
                }
            }
            double t = fmax(l->t, 0);
            for (int i = 0; i + 1 < l->n; i++) {
                double blk[3][3];
                for (int a = 0; a < 3; a++) for (int c = 0; c < 3; c++) blk[a][c] = t / l->leg[i] * ((a == c) - l->q[i][a] * l->q[i][c]);
                int p = l->path[i], q = l->path[i + 1];
                add_block(p, p, blk, 1); add_block(q, q, blk, 1); add_block(p, q, blk, -1); add_block(q, p, blk, -1);
            }
        }
        for (int p = 0; p < net.points; p++) {
            int row = net.point[p].row;
            if (row < 0) continue;
            for (int i = 0; i < 3; i++) {
                worst_force = fmax(worst_force, fabs(force[p][i]));
                rhs[row + i] = force[p][i] + extra[p][i];
                k_[row + i][row + i] += shift + 1e-3 * mu;      /* holds a point on which nothing pulls */
            }
        }
        if (mu <= 1e-7 && worst_force < 1e-8 * largest && worst_gap < 1e-9) return 1;
        if (!factor()) { shift = fmax(100 * shift, 1e-3); continue; }
        /* no point goes farther in one step than a part of what it hangs on */
        double part = round < 12 || worst_force < 1e-3 * largest ? 1 : round % 50 < 30 ? 0.5 : 0.2;   /* breaks circles */
        double whole_part = part;
        for (int m = 0; m < net.links; m++) for (int i = 0; i < net.link[m].n; i++) {
            int p = net.link[m].path[i], row = net.point[p].row;
            double leg = i > 0 ? net.link[m].leg[i - 1] : net.link[m].leg[0];
            if (i > 0 && i + 1 < net.link[m].n) leg = fmin(leg, net.link[m].leg[i]);
            if (row < 0 || wire[p]) continue;
            double step = sqrt(dot(&rhs[row], &rhs[row]));
            part = fmin(part, 0.5 * leg / fmax(step, 1e-30));
        }
        for (int m = 0; m < net.spans; m++) {
            Span *s = &net.span[m];
            double dx[3], df[3], total = 0;
            for (int b = 0; b < s->n; b++) total += s->bit[b].len;
            for (int i = 0; i < 3; i++) {
                int ra = net.point[s->a].row, rb = net.point[s->b].row;
                dx[i] = (rb < 0 ? 0 : rhs[rb + i]) - (ra < 0 ? 0 : rhs[ra + i]) - s->r[i];
            }
            for (int i = 0; i < 3; i++) df[i] = dot(s->inv[i], dx);
            double step = sqrt(dot(df, df)), now = sqrt(dot(s->f, s->f));
            part = fmin(part, fmax(1.5 * now, 50) / fmax(step, 1e-30));
            memcpy(s->r, df, sizeof df);                       /* the step waits here */
        }
        for (int m = 0; m < net.links; m++) {
            Link *l = &net.link[m];
            double way = 0;
            for (int i = 0; i + 1 < l->n; i++) for (int k = 0; k < 3; k++) {
                int ra = net.point[l->path[i]].row, rb = net.point[l->path[i + 1]].row;
                way += l->q[i][k] * ((rb < 0 ? 0 : rhs[rb + k]) - (ra < 0 ? 0 : rhs[ra + k]));
            }
            l->dt += l->damp * way;
        }
        for (int m = 0; m < net.spans; m++) for (int i = 0; i < 3; i++) net.span[m].f[i] += part * net.span[m].r[i];
        for (int m = 0; m < net.links; m++) net.link[m].t += part * net.link[m].dt;
        for (int p = 0; p < net.points; p++) if (net.point[p].row >= 0)
            for (int i = 0; i < 3; i++) net.point[p].at[i] += part * rhs[net.point[p].row + i];
        if (part == whole_part) mu = mu > 1e-6 ? mu * 0.1 : 1e-8;
    }
    return 0;
}

/* ---- rigs as read ---- */
typedef struct { int law; double len, mass, alpha, width; } Piece;    /* mass per metre; the backup counted in */
typedef struct { int law; double hard, alpha; } Under;         /* a segment of backup: law and rigid metres in it */
static struct {
    int points, links, pieces, a, b, solve, kind, backup, ba, bb, joints, grounds;
    Point point[POINTS]; Link link[LINKS]; double alpha[LINKS][PARTS];
    Piece piece[BITS]; double value, walker, excess, joint_weight;
    int joint[SPANS]; Under under[SPANS]; double gx[GROUND], gz[GROUND];
} rig;
static struct { int links, link[LINKS], part[LINKS], solved, good; double by[LINKS], len; } variant[VARIANTS];
typedef struct { double share, mass, area; } Load;
typedef struct { int variant, loads; double dt, wind; Load load[LOADS]; } Case;

static double number(void) { double v; if (scanf("%lf", &v) != 1) exit(0); return v; }
static int whole(void) { return (int)number(); }

static void read_rig(void) {
    int n = whole();
    for (int i = 0; i < n; i++) { laws[i].n = whole(); for (int k = 0; k < laws[i].n; k++) { laws[i].t[k] = number(); laws[i].e[k] = number(); } }
    rig.points = whole();
    for (int i = 0; i < rig.points; i++) {
        Point *p = &rig.point[i]; memset(p, 0, sizeof *p);
        p->fixed = whole(); for (int k = 0; k < 3; k++) p->at[k] = number(); p->load[2] = -number();
    }
    rig.links = whole();
    for (int i = 0; i < rig.links; i++) {
        Link *l = &rig.link[i]; memset(l, 0, sizeof *l);
        l->n = whole(); for (int k = 0; k < l->n; k++) l->path[k] = whole();
        l->parts = whole(); for (int k = 0; k < l->parts; k++) { l->law[k] = whole(); l->len[k] = number(); rig.alpha[i][k] = number(); }
    }
    rig.a = whole(); rig.b = whole(); rig.pieces = whole();
    for (int i = 0; i < rig.pieces; i++) { Piece *p = &rig.piece[i]; p->law = whole(); p->len = number(); p->mass = number(); p->alpha = number(); p->width = number(); }
    rig.solve = whole(); rig.kind = whole(); rig.value = number(); rig.walker = number();
    rig.backup = whole(); rig.joints = 0;
    if (rig.backup) {
        rig.ba = whole(); rig.bb = whole(); rig.excess = number(); rig.joint_weight = number(); rig.joints = whole();
        for (int i = 0; i < rig.joints; i++) rig.joint[i] = whole();
        for (int i = 0; i <= rig.joints; i++) { rig.under[i].law = whole(); rig.under[i].hard = number(); rig.under[i].alpha = number(); }
    }
    rig.grounds = whole();
    for (int i = 0; i < rig.grounds; i++) { rig.gx[i] = number(); rig.gz[i] = number(); }
    n = whole();
    for (int i = 0; i < n; i++) {
        variant[i].solved = 0; variant[i].links = whole();
        for (int k = 0; k < variant[i].links; k++) { variant[i].link[k] = whole(); variant[i].part[k] = whole(); variant[i].by[k] = number(); }
    }
}

/* Where the net stood last: a start for the next. */
static struct { int good, points, links; double at[POINTS][3], t[LINKS + SPANS]; int nodes; double s[SPANS], node[SPANS][3], f[SPANS][3]; } last;
static double node_s[SPANS];
static int node_p[SPANS];

static void remember(void) {
    last.good = 1; last.nodes = net.spans + 1;
    for (int p = 0; p < rig.points; p++) memcpy(last.at[p], net.point[p].at, sizeof last.at[p]);
    for (int m = 0; m < net.links; m++) last.t[m] = net.link[m].t;
    for (int i = 0; i < last.nodes; i++) {
        last.s[i] = node_s[i] / node_s[net.spans];
        memcpy(last.node[i], net.point[node_p[i]].at, sizeof last.node[i]);
        if (i < net.spans) memcpy(last.f[i], net.span[i].f, sizeof last.f[i]);
    }
}

/* Makes the net of a case; len is that of the part that the target asks for. */
static void build(const Case *c, double len) {
    double length[BITS], start[BITS + 1];
    start[0] = 0;
    for (int i = 0; i < rig.pieces; i++) { length[i] = i == rig.solve ? len : rig.piece[i].len; start[i + 1] = start[i] + length[i]; }
    double total = start[rig.pieces];
    net.points = rig.points; memcpy(net.point, rig.point, sizeof(Point) * rig.points);
    net.links = rig.links; memcpy(net.link, rig.link, sizeof(Link) * rig.links);
    memset(wire, 0, sizeof wire);
    for (int i = 0; i < variant[c->variant].links; i++) net.link[variant[c->variant].link[i]].len[variant[c->variant].part[i]] += variant[c->variant].by[i];
    for (int m = 0; m < net.links; m++) for (int k = 0; k < net.link[m].parts; k++) net.link[m].len[k] *= 1 + rig.alpha[m][k] * c->dt;
    if (last.good) for (int p = 0; p < rig.points; p++) if (!net.point[p].fixed) memcpy(net.point[p].at, last.at[p], sizeof last.at[p]);

    /* nodes of the line: ends, joints, walkers */
    int nodes = 0, joint_node[SPANS];
    node_s[0] = 0; node_p[0] = rig.a; nodes = 1;
    double at[SPANS]; int n = 0;
    for (int i = 0; i < rig.joints; i++) at[n++] = start[rig.joint[i] + 1];
    for (int i = 0; i < c->loads; i++) at[n++] = c->load[i].share * total;
    for (int i = 1; i < n; i++) for (int k = i; k > 0 && at[k - 1] > at[k]; k--) { double x = at[k]; at[k] = at[k - 1]; at[k - 1] = x; }
    for (int i = 0; i < n; i++) {
        if (at[i] - node_s[nodes - 1] < 1e-9 && nodes > 1) continue;
        Point *p = &net.point[net.points]; memset(p, 0, sizeof *p);
        wire[net.points] = 1; node_s[nodes] = at[i]; node_p[nodes++] = net.points++;
    }
    node_s[nodes] = total; node_p[nodes] = rig.b;
    net.spans = nodes;
    const double *ea = net.point[rig.a].at, *eb = net.point[rig.b].at;
    double q = AIR / 2 * c->wind * fabs(c->wind);
    for (int i = 0; i < net.spans; i++) {
        Span *s = &net.span[i]; s->a = node_p[i]; s->b = node_p[i + 1]; s->n = 0;
        for (int k = 0; k < rig.pieces; k++) {
            double lo = fmax(start[k], node_s[i]), hi = fmin(start[k + 1], node_s[i + 1]);
            if (hi - lo < 1e-10) continue;
            double hot = 1 + rig.piece[k].alpha * c->dt;
            Bit *b = &s->bit[s->n++];
            b->law = rig.piece[k].law; b->len = (hi - lo) * hot;
            b->w[0] = 0; b->w[1] = q * DRAG * rig.piece[k].width / hot; b->w[2] = -rig.piece[k].mass * G / hot;
        }
        /* a first guess: from where the last net stood, else a straight line at a likely tension */
        double share = node_s[i] / total;
        if (last.good) {
            int k = 0;
            while (k + 2 < last.nodes && last.s[k + 1] < (node_s[i] + node_s[i + 1]) / 2 / total) k++;
            memcpy(s->f, last.f[k], sizeof s->f);
            for (k = 0; k + 2 < last.nodes && last.s[k + 1] < share; k++) {}
            double r = (share - last.s[k]) / (last.s[k + 1] - last.s[k]);
            for (int j = 0; j < 3; j++) if (i > 0) net.point[node_p[i]].at[j] = last.node[k][j] + r * (last.node[k + 1][j] - last.node[k][j]);
        } else {
            double d[3] = {eb[0] - ea[0], eb[1] - ea[1], eb[2] - ea[2]}, far = sqrt(dot(d, d)), pull = rig.kind < 3 ? rig.value : 2000;
            for (int j = 0; j < 3; j++) {
                s->f[j] = pull * d[j] / far;
                if (i > 0) net.point[node_p[i]].at[j] = ea[j] + share * d[j];
            }
        }
    }
    for (int i = 0; i < c->loads; i++) for (int k = 1; k < nodes; k++)
        if (fabs(node_s[k] - c->load[i].share * total) < 1e-9) {
            net.point[node_p[k]].load[2] -= c->load[i].mass * G;
            net.point[node_p[k]].load[1] += q * c->load[i].area;
        }
    for (int i = 0; i < rig.joints; i++) for (int k = 1; k < nodes; k++) if (fabs(node_s[k] - start[rig.joint[i] + 1]) < 1e-9) {
        joint_node[i] = k; net.point[node_p[k]].load[2] -= rig.joint_weight;
    }
    /* the backup beside each segment: it follows the line over walkers within the segment */
    for (int i = 0; rig.backup && i <= rig.joints; i++) {
        Link *l = &net.link[net.links++]; memset(l, 0, sizeof *l);
        int from = i == 0 ? 0 : joint_node[i - 1], to = i == rig.joints ? nodes : joint_node[i];
        double s = 0, hot = 1 + rig.under[i].alpha * c->dt;    /* webbing under webbing; hardware on both sides comes on top */
        for (int k = 0; k < rig.pieces; k++) if (rig.piece[k].law > 0 && start[k + 1] > node_s[from] + 1e-9 && start[k] < node_s[to] - 1e-9) s += length[k] * (1 + rig.excess);
        l->path[l->n++] = i == 0 ? rig.ba : node_p[from];
        for (int k = from + 1; k < to; k++) l->path[l->n++] = node_p[k];
        l->path[l->n++] = i == rig.joints ? rig.bb : node_p[to];
        l->parts = 2; l->law[0] = 0; l->len[0] = rig.under[i].hard; l->law[1] = rig.under[i].law; l->len[1] = s * hot;
    }
    for (int m = 0; m < net.links; m++) net.link[m].t = last.good ? last.t[m] : m < rig.links ? 300 : 0;
}

/* The end force of a span between its ends as they stand. */
static int shoot(Span *s) {
    double before = INFINITY, df[3] = {0, 0, 0}, part = 1;
    for (int round = 0; round < 200; round++) {
        double f[3], r[3] = {0, 0, 0}, j[3][3] = {{0}};
        memcpy(f, s->f, sizeof f);
        for (int b = 0; b < s->n; b++) bit_span(&s->bit[b], s->bit[b].len, f, r, j);
        for (int i = 0; i < 3; i++) r[i] -= net.point[s->b].at[i] - net.point[s->a].at[i];
        double now = sqrt(dot(r, r));
        if (now < 1e-7) return invert(j, s->inv);
        if (now > before && part > 1e-6) {                     /* too far: back half the way */
            part /= 2;
            for (int i = 0; i < 3; i++) s->f[i] -= part * df[i];
            continue;
        }
        before = now; part = 1;
        if (!invert(j, s->inv)) return 0;
        for (int i = 0; i < 3; i++) df[i] = -dot(s->inv[i], r);
        double far = sqrt(dot(df, df)), most = fmax(2 * sqrt(dot(s->f, s->f)), 20);
        if (far > most) for (int i = 0; i < 3; i++) df[i] *= most / far;
        for (int i = 0; i < 3; i++) s->f[i] += df[i];
    }
    return 0;
}

/* Lets the net swing, and stops it whenever it is fastest, until it nearly rests: slow, but it always gets there. */
static int relax(double near) {
    static double v[POINTS][3], force[POINTS][3], mass[POINTS];
    double energy = 0;
    memset(v, 0, sizeof v);
    for (int step = 0; step < 20000; step++) {
        for (int p = 0; p < net.points; p++) { memcpy(force[p], net.point[p].load, sizeof force[p]); mass[p] = 1e-3; }
        largest = 1;
        for (int m = 0; m < net.spans; m++) {
            Span *s = &net.span[m];
            if (!shoot(s)) return 0;
            double k = 0;
            for (int i = 0; i < 3; i++) for (int j = 0; j < 3; j++) k += s->inv[i][j] * s->inv[i][j];
            double flex = 1e-9, one, e0;                        /* no softer than when taut: it may become so */
            for (int b = 0; b < s->n; b++) { law_piece(&laws[s->bit[b].law], 1, &e0, &one); flex += s->bit[b].len * one; }
            k = sqrt(k) + 1 / flex;
            mass[s->a] += k; mass[s->b] += k;
            for (int i = 0; i < 3; i++) { force[s->a][i] += s->f[i]; force[s->b][i] -= s->f[i]; for (int b = 0; b < s->n; b++) force[s->b][i] += s->bit[b].w[i] * s->bit[b].len; }
            largest = fmax(largest, sqrt(dot(s->f, s->f)));
        }
        for (int m = 0; m < net.links; m++) {
            Link *l = &net.link[m];
            l->t = 0; link_shape(l);
            for (int i = 0; i < 60 && (l->slack < 0 || l->t > 0) && fabs(l->slack) > 1e-12; i++) { l->t = fmax(l->t - l->slack / l->flex, 0); link_shape(l); }
            for (int i = 0; i + 1 < l->n; i++) {
                double k = (l->n - 1) / fmax(l->flex, 1e-9) + l->t / l->leg[i];
                mass[l->path[i]] += k; mass[l->path[i + 1]] += k;
                for (int j = 0; j < 3; j++) { force[l->path[i]][j] += l->t * l->q[i][j]; force[l->path[i + 1]][j] -= l->t * l->q[i][j]; }
            }
        }
        worst_force = 0;
        double now = 0;
        for (int p = 0; p < net.points; p++) if (!net.point[p].fixed) for (int i = 0; i < 3; i++) {
            worst_force = fmax(worst_force, fabs(force[p][i]));
            v[p][i] += force[p][i] / mass[p];
            now += mass[p] * v[p][i] * v[p][i];
        }
        if (worst_force < near * largest) return 1;
        if (now < energy) { memset(v, 0, sizeof v); now = 0; }
        energy = now;
        for (int p = 0; p < net.points; p++) if (!net.point[p].fixed) for (int i = 0; i < 3; i++) net.point[p].at[i] += v[p][i];
    }
    return 0;
}

static int run(const Case *c, double len) {
    build(c, len);
    if (last.good && solve(1e-8, 60)) { remember(); return 1; }
    int keep = last.good;
    for (int mu = 10; mu < 2000; mu *= 100) {
        last.good = keep && mu < 50;
        build(c, len);
        if (solve(mu, 100)) { remember(); return 1; }
    }
    last.good = 0;
    build(c, len);
    int good = (relax(2e-3) && solve(1e-6, 100)) || (relax(1e-5) && solve(1e-8, 100));
    last.good = keep;
    if (good) remember();
    return good;
}

static double size(const double *v) { return sqrt(dot(v, v)); }
static double pull_b(void) {
    Span *s = &net.span[net.spans - 1];
    double f[3]; memcpy(f, s->f, sizeof f);
    for (int b = 0; b < s->n; b++) for (int i = 0; i < 3; i++) f[i] -= s->bit[b].w[i] * s->bit[b].len;
    return size(f);
}

/* Where a place of the line is: of span m, at unstretched s from its start. */
static void place(int m, double s, double *r) {
    Span *p = &net.span[m];
    double f[3]; memcpy(f, p->f, sizeof f); memcpy(r, net.point[p->a].at, 3 * sizeof *r);
    for (int b = 0; b < p->n && s > 0; b++) { bit_span(&p->bit[b], fmin(s, p->bit[b].len), f, r, 0); s -= p->bit[b].len; }
}
static double span_len(int m) { double l = 0; for (int b = 0; b < net.span[m].n; b++) l += net.span[m].bit[b].len; return l; }

/* Depth below the straight line between the ends. */
static double below(int m, double s) {
    double r[3];
    const double *a = net.point[rig.a].at, *b = net.point[rig.b].at;
    place(m, s, r);
    return a[2] + (r[0] - a[0]) / (b[0] - a[0]) * (b[2] - a[2]) - r[2];
}
/* At the middle of the unstretched length. */
static double sag(void) {
    double half = 0;
    int m = 0;
    for (int i = 0; i < net.spans; i++) half += span_len(i) / 2;
    while (m + 1 < net.spans && half > span_len(m)) half -= span_len(m++);
    return below(m, half);
}

static double ground(double x) {
    if (x <= rig.gx[0]) return rig.gz[0];
    for (int i = 1; i < rig.grounds; i++) if (x <= rig.gx[i]) return rig.gz[i - 1] + (x - rig.gx[i - 1]) / (rig.gx[i] - rig.gx[i - 1]) * (rig.gz[i] - rig.gz[i - 1]);
    return rig.gz[rig.grounds - 1];
}
static double over(int m, double s) { double r[3]; place(m, s, r); return r[2] - ground(r[0]); }
static double above(int m, double s) { return -below(m, s); }

/* Where the line is lowest by some measure: sampled, then closed in on. */
static double least(double (*height)(int, double)) {
    double best = 1e9, at = 0, step = 0; int in = 0;
    for (int m = 0; m < net.spans; m++) {
        double l = span_len(m);
        for (int i = 0; i <= 48; i++) { double h = height(m, l * i / 48); if (h < best) { best = h; at = l * i / 48; in = m; step = l / 48; } }
    }
    for (; step > 1e-4; step /= 2) for (int side = -1; side <= 1; side += 2) {
        double s = fmin(fmax(at + side * step / 2, 0), span_len(in)), h = height(in, s);
        if (h < best) { best = h; at = s; }
    }
    return best;
}

/* The answer again by other means: tensions of legs by bisection on their length, spans in 20,000 steps. Largest fault in N. */
static double prove(void) {
    double force[POINTS][3], worst = 0;
    for (int p = 0; p < net.points; p++) memcpy(force[p], net.point[p].load, sizeof force[p]);
    for (int m = 0; m < net.links; m++) {
        Link l = net.link[m];
        double lo = 0, hi = 1e6;
        for (int i = 0; i < 100; i++) { l.t = (lo + hi) / 2; link_shape(&l); if (l.slack > 0) hi = l.t; else lo = l.t; }
        for (int i = 0; i + 1 < l.n; i++) for (int k = 0; k < 3; k++) { force[l.path[i]][k] += l.t * l.q[i][k]; force[l.path[i + 1]][k] -= l.t * l.q[i][k]; }
    }
    for (int m = 0; m < net.spans; m++) {
        Span *s = &net.span[m];
        double f[3], r[3], gap[3];
        memcpy(f, s->f, sizeof f); memcpy(r, net.point[s->a].at, sizeof r);
        for (int i = 0; i < 3; i++) force[s->a][i] += f[i];
        for (int b = 0; b < s->n; b++) {
            int steps = 20000;
            double ds = s->bit[b].len / steps;
            const Law *law = &laws[s->bit[b].law];
            for (int k = 0; k < steps; k++) {
                double e0, flex, mid[3];
                for (int i = 0; i < 3; i++) { mid[i] = f[i] - s->bit[b].w[i] * ds / 2; f[i] -= s->bit[b].w[i] * ds; }
                double t = size(mid);
                law_piece(law, law_index(law, t), &e0, &flex);
                for (int i = 0; i < 3; i++) r[i] += mid[i] / t * (1 + e0 + flex * t) * ds;
            }
        }
        for (int i = 0; i < 3; i++) { force[s->b][i] -= f[i]; gap[i] = r[i] - net.point[s->b].at[i]; }
        worst = fmax(worst, size(gap) / 1e-6);                 /* a micrometre is told as a newton */
    }
    for (int p = 0; p < net.points; p++) if (!net.point[p].fixed) worst = fmax(worst, size(force[p]));
    return worst;
}

static double aim(double len, Case *c) {
    if (!run(c, len)) return NAN;
    switch (rig.kind) {
        case 1: return size(net.span[0].f) - rig.value;
        case 2: return pull_b() - rig.value;
        default: return rig.value - sag();
    }
}

/* The length that the target asks for, by false position kept in a bracket. */
static void find_length(int v) {
    variant[v].solved = 1; variant[v].good = 0;
    double others = 0, far = 0;
    for (int i = 0; i < rig.pieces; i++) if (i != rig.solve) others += rig.piece[i].len;
    for (int k = 0; k < 3; k++) far += pow(rig.point[rig.b].at[k] - rig.point[rig.a].at[k], 2);
    far = sqrt(far);
    if (rig.solve < 0) { variant[v].len = 0; variant[v].good = 1; return; }
    Case c = {.variant = v};
    if (rig.kind == 3) { c.loads = 1; c.load[0] = (Load){0.5, rig.walker, 0}; }
    double e0, flex, t = rig.kind < 3 ? rig.value : 2000;
    const Law *law = &laws[rig.piece[rig.solve].law];
    law_piece(law, law_index(law, t), &e0, &flex);
    double guess = v > 0 && variant[0].good ? variant[0].len : (far - others) / (1 + e0 + flex * t);
    if (v == 0) last.good = 0;
    /* more length, less tension: a bracket, widened from the guess */
    double lo = guess, hi = guess, flo, fhi, step = far * 2e-3;
    for (int i = 0; i < 5; i++) {
        lo = hi = guess;
        flo = fhi = aim(guess, &c);
        if (!isnan(flo)) break;
        guess += far * 0.005;
    }
    if (isnan(flo)) return;
    for (int i = 0; flo < 0 && i < 60; i++) { hi = lo; fhi = flo; lo -= step; step *= 2; flo = aim(lo, &c); if (isnan(flo)) return; }
    for (int i = 0; fhi > 0 && i < 60; i++) { lo = hi; flo = fhi; hi += step; step *= 2; fhi = aim(hi, &c); if (isnan(fhi)) return; }
    int side = 0;
    for (int i = 0; i < 100; i++) {
        double mid = (flo * hi - fhi * lo) / (flo - fhi), f = aim(mid, &c);
        if (isnan(f)) return;
        variant[v].len = mid;
        if (fabs(f) < 1e-7 || hi - lo < 1e-12) break;
        if (f > 0) { lo = mid; flo = f; if (side == 1) fhi /= 2; side = 1; }
        else { hi = mid; fhi = f; if (side == -1) flo /= 2; side = -1; }
    }
    variant[v].good = 1;
    if (c.loads) last.good = 0;                                /* what comes next stands otherwise */
}

int main(int argc, char **argv) {
    char word[16];
    int proving = argc > 1 && !strcmp(argv[1], "prove");
    while (scanf("%15s", word) == 1) {
        if (!strcmp(word, "rig")) { read_rig(); last.good = 0; find_length(0); printf("length %d %.12g\n", variant[0].good, variant[0].len); fflush(stdout); continue; }
        Case c; memset(&c, 0, sizeof c);                       /* else "case" */
        c.variant = whole(); c.dt = number(); c.wind = number(); c.loads = whole();
        for (int i = 0; i < c.loads; i++) { c.load[i].share = number(); c.load[i].mass = number(); c.load[i].area = number(); }
        if (!variant[c.variant].solved) find_length(c.variant);
        iterations = 0;
        int good = variant[c.variant].good && run(&c, variant[c.variant].len);
        printf("%d %d %.3g", good, iterations, good && proving ? prove() : worst_force);
        if (good) {
            printf(" %.10g %.10g %.10g %.10g", size(net.span[0].f), pull_b(), -least(above), rig.grounds && c.loads ? least(over) : 0);
            for (int m = 0; m < net.links; m++) printf(" %.10g", net.link[m].t);
            for (int p = 0; p < rig.points; p++) if (!rig.point[p].fixed) printf(" %.9g %.9g %.9g", net.point[p].at[0], net.point[p].at[1], net.point[p].at[2]);
        }
        printf("\n");
        fflush(stdout);
    }
    return 0;
}
