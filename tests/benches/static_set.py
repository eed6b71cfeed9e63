#!/usr/bin/env python3
"""The same static solves by spanwright, by SciPy and by a structural library, side by side.

    pip install numpy scipy openseespy        (the last needs libblas3 and liblapack3 of the system)
    python3 tests/benches/static_set.py

The set is tests/data/bench_problem.json: a 62 m line over three-leg anchors, standing, with one walker at 19 places, and
with each leg cut in turn. One thread each, on this machine, in this run. Like against like: each solve starts cold from
the drawn geometry; building the models is timed apart from solving them; the whole process has its start and imports in
it (and one pass of the set). spanwright's line is exact; the others cut it into 64 straight elements with point loads,
which is 6e-8 of the line's tension off here. Answers that differ by more than 1e-5 of the line's tension end with code 1.
"""
import json
import os
import subprocess
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
PROBLEM = os.path.join(HERE, "..", "data", "bench_problem.json")
ONE_THREAD = {k: "1" for k in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "RAYON_NUM_THREADS")}
G = 9.80665
REPEATS = 5


def read():
    """The rig as arrays: places (m), who is fixed, legs (a, b, L0 m, EA N), line (L0 m, EA N, kg/m)."""
    data = json.load(open(PROBLEM))
    rig, n = data["rig"], data["elements"]
    names = list(rig["nodes"])
    places = [rig["nodes"][k]["pos"] for k in names]
    fixed = [bool(rig["nodes"][k].get("fixed")) for k in names]
    legs = [(leg["name"], names.index(leg["a"]), names.index(leg["b"]), leg["L0_m"], leg["EA_N"]) for leg in rig["legs"]]
    line = rig["line"]["segments"][0]
    a, b = names.index(rig["line"]["a"]), names.index(rig["line"]["b"])
    chord = [q - p for p, q in zip(places[a], places[b])]
    first = len(places)
    for i in range(1, n):
        # Inner nodes on the chord, sagging a little, as drawn.
        u = i / n
        places.append([places[a][k] + u * chord[k] - (4 * 0.4 * u * (1 - u) if k == 2 else 0) for k in range(3)])
        fixed.append(False)
    chain = [a, *range(first, first + n - 1), b]
    return data, places, fixed, legs, chain, line


def bars_of(solve, legs, chain, line):
    """Members (a, b, L0, EA) of one solve: the line's elements first, then the legs that are not cut."""
    step = line["L0_m"] / (len(chain) - 1)
    out = [(p, q, step, line["EA_N"]) for p, q in zip(chain, chain[1:])]
    return out + [(a, b, l0, ea) for name, a, b, l0, ea in legs if solve.get("cut") != name]


def loads_of(solve, data, chain, line, count):
    """Vertical dead load of each node, N."""
    down = [0.0] * count
    weight = line["L0_m"] / (len(chain) - 1) * line["mu_kg_per_m"] * G
    for p, q in zip(chain, chain[1:]):
        down[p] -= weight / 2
        down[q] -= weight / 2
    if solve.get("s_frac") is not None:
        down[chain[round(solve["s_frac"] * (len(chain) - 1))]] -= data["walker_mass_kg"] * G
    return down


def answer(tension, solve, legs, elements):
    """As spanwright prints it: the tension of each leg, none of what is cut."""
    rest = iter(tension[elements:])
    return {"legs_N": [0.0 if solve.get("cut") == leg[0] else next(rest) for leg in legs]}


def by_scipy():
    """Newton on the energy of tension-only bars, sparse, assembled by NumPy."""
    import numpy as np
    from scipy.sparse import csc_matrix
    from scipy.sparse.linalg import splu

    data, places, fixed, legs, chain, line = read()
    x0 = np.array(places)
    free = np.flatnonzero(~np.array(fixed))
    slot = -np.ones(len(places), int)
    slot[free] = np.arange(len(free))

    def build(solve):
        bars = bars_of(solve, legs, chain, line)
        ends = np.array([b[:2] for b in bars])
        l0, ea = np.array([b[2] for b in bars]), np.array([b[3] for b in bars])
        load = np.zeros((len(places), 3))
        load[:, 2] = loads_of(solve, data, chain, line, len(places))
        # Where each member's four 3x3 blocks go, worked out once.
        i, j = slot[ends[:, 0]], slot[ends[:, 1]]
        rows, cols, keep = [], [], []
        for p, q in ((i, i), (j, j), (i, j), (j, i)):
            r = 3 * p[:, None, None] + np.arange(3)[None, :, None] + np.zeros((1, 1, 3), int)
            c = 3 * q[:, None, None] + np.arange(3)[None, None, :] + np.zeros((1, 3, 1), int)
            ok = ((p >= 0) & (q >= 0))[:, None, None] & np.ones((1, 3, 3), bool)
            rows.append(r[ok]), cols.append(c[ok]), keep.append(ok)
        return ends, l0, ea, load, np.concatenate(rows), np.concatenate(cols), keep

    def pulls(x, ends, l0, ea):
        d = x[ends[:, 1]] - x[ends[:, 0]]
        length = np.linalg.norm(d, axis=1)
        return d / length[:, None], length, np.maximum(ea * (length / l0 - 1), 0.0)

    def solve_one(model):
        ends, l0, ea, load, rows, cols, keep = model
        x = x0.copy()

        def energy(y):
            _, length, t = pulls(y, ends, l0, ea)
            return 0.5 * np.sum(t * t * l0 / ea) - np.sum(load * y)

        at = energy(x)
        for _ in range(200):
            u, length, t = pulls(x, ends, l0, ea)
            force = load.copy()
            np.add.at(force, ends[:, 0], u * t[:, None])
            np.add.at(force, ends[:, 1], -u * t[:, None])
            left = np.abs(force[free]).max()
            if left < 1e-7 * t.max():
                break
            stiff = np.where(t > 0, ea / l0, 0.0)[:, None, None] * (u[:, :, None] * u[:, None, :])
            block = stiff + (t / length)[:, None, None] * (np.eye(3) - u[:, :, None] * u[:, None, :])
            values = np.concatenate([block[keep[0]], block[keep[1]], -block[keep[2]], -block[keep[3]]])
            k = csc_matrix((values, (rows, cols)), shape=(3 * len(free), 3 * len(free)))
            k.setdiag(k.diagonal() + 1e-6)
            step = splu(k).solve(force[free].ravel()).reshape(-1, 3)
            share = min(1.0, 6.0 / np.abs(step).max())
            for _ in range(40):
                y = x.copy()
                y[free] += share * step
                then = energy(y)
                if then <= at + 1e-9 * abs(at) or share < 1e-9:
                    break
                share *= 0.5
            x, at = y, then
        return pulls(x, ends, l0, ea)[2]

    def one_pass():
        start = time.perf_counter()
        models = [build(s) for s in data["solves"]]
        built = time.perf_counter()
        tensions = [solve_one(m) for m in models]
        return built - start, time.perf_counter() - built, tensions

    return one_pass, lambda ts: [
        answer(list(map(float, t)), s, legs, len(chain) - 1) for t, s in zip(ts, data["solves"])
    ]


def by_structural_library():
    """OpenSeesPy: large-displacement trusses of a tension-only material, strained from the start to their own length."""
    import math

    import openseespy.opensees as ops

    data, places, fixed, legs, chain, line = read()

    def build(solve):
        bars = bars_of(solve, legs, chain, line)
        down = loads_of(solve, data, chain, line, len(places))
        used = {p for b in bars for p in b[:2]}
        ops.wipe()
        ops.model("basic", "-ndm", 3, "-ndf", 3)
        for i, p in enumerate(places):
            if i in used:
                ops.node(i, *p)
                if fixed[i]:
                    ops.fix(i, 1, 1, 1)
        for m, (a, b, l0, ea) in enumerate(bars):
            drawn = math.dist(places[a], places[b])
            # T = EA/L0 (L - L0), said with the strain of the drawn length: E A drawn/L0 (strain + 1 - L0/drawn).
            ops.uniaxialMaterial("Elastic", 2 * m + 1, ea * drawn / l0, 0.0, 1e-9 * ea)
            ops.uniaxialMaterial("InitStrainMaterial", 2 * m + 2, 2 * m + 1, 1 - l0 / drawn)
            ops.element("corotTruss", m, a, b, 1.0, 2 * m + 2)
        ops.timeSeries("Constant", 1)
        ops.pattern("Plain", 1, 1)
        for i in used:
            if down[i] and not fixed[i]:
                ops.load(i, 0.0, 0.0, down[i])
        ops.system("UmfPack")
        ops.numberer("RCM")
        ops.constraints("Plain")
        ops.test("NormUnbalance", 1e-6, 400)
        ops.algorithm("NewtonLineSearch")
        ops.integrator("LoadControl", 1.0)
        ops.analysis("Static")
        return len(bars)

    def one_pass():
        # One model lives at a time in this library: build and solve in turn, timed apart.
        build_s = solve_s = 0.0
        tensions = []
        for s in data["solves"]:
            start = time.perf_counter()
            count = build(s)
            built = time.perf_counter()
            if ops.analyze(1) != 0:
                raise SystemExit("the structural library did not settle")
            solve_s += time.perf_counter() - built
            build_s += built - start
            tensions.append([ops.basicForce(m)[0] for m in range(count)])
        return build_s, solve_s, tensions

    return one_pass, lambda ts: [answer(t, s, legs, len(chain) - 1) for t, s in zip(ts, data["solves"])]


def worker(who, repeats):
    try:
        one_pass, answers = {"scipy": by_scipy, "structural": by_structural_library}[who]()
    except (ImportError, RuntimeError) as e:
        print(f"{who} is missing: {e}; see the head of this script", file=sys.stderr)
        raise SystemExit(2)
    best, tensions = None, None
    for _ in range(repeats):
        build_s, solve_s, tensions = one_pass()
        if best is None or build_s + solve_s < sum(best):
            best = (build_s, solve_s)
    print(json.dumps({"build_s": best[0], "solve_s": best[1], "answers": answers(tensions)}))


def run(command):
    start = time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True, env={**os.environ, **ONE_THREAD})
    took = time.perf_counter() - start
    if done.returncode != 0:
        print(done.stderr, file=sys.stderr)
        raise SystemExit(2)
    # A library may greet on standard output; the answer is the last line.
    return took, json.loads([line for line in done.stdout.splitlines() if line.startswith("{")][-1])


def binary():
    root = os.path.join(HERE, "..", "..")
    built = subprocess.run(
        ["cargo", "bench", "--bench", "static_set", "--no-run", "--locked", "--message-format=json"],
        cwd=root, capture_output=True, text=True)
    names = [m.get("executable") for m in map(json.loads, filter(None, built.stdout.splitlines()))
             if m.get("target", {}).get("name") == "static_set"]
    if not names or not names[-1]:
        print(built.stderr, file=sys.stderr)
        raise SystemExit(2)
    return names[-1]


def main():
    ours = [binary()]
    me = [sys.executable, os.path.abspath(__file__)]
    commands = {
        "spanwright": (ours, "--repeats"),
        "SciPy, vectorised Newton": (me + ["--who", "scipy"], "--repeats"),
        "OpenSeesPy, corotational trusses": (me + ["--who", "structural"], "--repeats"),
    }
    rows = {}
    for name, (command, flag) in commands.items():
        whole = min(run(command + [flag, "1"])[0] for _ in range(3))
        rows[name] = (whole, run(command + [flag, str(REPEATS)])[1])
    base = rows["spanwright"]
    worst = 0.0
    print(f"| {len(base[1]['answers'])} solves, one thread | whole process | models built | solved | "
          "times as long as spanwright: process, solver | largest difference |")
    print("| --- | ---: | ---: | ---: | ---: | ---: |")
    for name, (whole, r) in rows.items():
        off = max(
            abs(p - q) / a["line_N"]
            for a, b in zip(base[1]["answers"], r["answers"])
            for p, q in zip(a["legs_N"], b["legs_N"]))
        worst = max(worst, off)
        times = f"{whole / base[0]:.0f}, {r['solve_s'] / base[1]['solve_s']:.0f}"
        print(f"| {name} | {1e3 * whole:.1f} ms | {1e3 * r['build_s']:.2f} ms | {1e3 * r['solve_s']:.2f} ms | "
              f"{times} | {off:.0e} |")
    if worst > 1e-5:
        print(f"answers differ by {worst:.1e} of the line's tension", file=sys.stderr)
        raise SystemExit(1)


if __name__ == "__main__":
    if "--who" in sys.argv:
        at = sys.argv.index("--repeats")
        worker(sys.argv[sys.argv.index("--who") + 1], int(sys.argv[at + 1]))
    else:
        main()
