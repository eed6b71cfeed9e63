#!/usr/bin/env python3
"""One static benchmark by spanwright, by SciPy and by a structural library: same run, same machine, one thread.

    python3 -m pip install numpy scipy openseespy      (best in a virtual environment; cargo builds spanwright's part)
    python3 tests/benches/side_by_side.py [PASSES]     (7 unless told)

Prints a table in Markdown. Exits with 1 when answers differ by more than 1e-5, with 2 when something is missing.

The problem is tests/data/side_by_side.json: 62 m, three-leg anchors at both ends, a walker at 19 places (0.05 to 0.95
of the line), with all legs and with each of the six removed in turn: 7 x 19 = 133 solves. The mathematics is the same
for all: the line is 40 straight elements with its weight on their nodes; an element or leg of unstretched length L0
pulls with EA (L - L0) / L0 when longer than that, and never pushes; large displacements, three dimensions, 41 points.
OpenSees measures strain from the drawn length D, so it gets the modulus EA D / L0, none in compression, and an initial
strain of 1 - L0 / D: the same line of tension against length.

Like against like: each program is a process of its own, and they take turns, so that a busy machine is busy for all.
All build a model for each set of legs (7 in a pass), start it from the drawn geometry and each further place from the
one before, and go on until forces balance to some 4e-6 N (1e-9 of the line's tension).
  whole process   wall time to start, read the problem, do one pass, print the answers and end; loading is in it, and
                  what Python imports (median of 5 starts)
  models, solver  building them; all 133 solves, moving the walker on included, reading the answers not (medians of
                  PASSES passes in one warm process, then of 5 processes)
  disagreement    the largest difference from spanwright on the mesh: of a leg's or line end's tension over the larger
                  tension at the line's ends, or of the walker's place over the span, whichever is larger
spanwright has two rows: on the same mesh, and in its own way, the line as two heavy spans without a mesh. That is the
same rig by another method: its model changes as the walker moves, which counts as solver; each place starts from the
drawn line; the line's tension is read where the mesh has it, in the middle of the first and last element.
"""
import importlib.util
import json
import math
import os
import pathlib
import statistics
import subprocess
import sys
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
TURNS = 5
AGREE = 1e-5
THREADS = ("OMP", "OPENBLAS", "MKL", "BLIS", "NUMEXPR", "VECLIB_MAXIMUM", "RAYON")
ENVIRONMENT = {**os.environ, **{f"{name}_NUM_THREADS": "1" for name in THREADS}}


def read():
    """The problem, with what all three need worked out: places on the drawn line (m), weight of each node of it (N)."""
    p = json.loads((ROOT / "tests/data/side_by_side.json").read_text())
    line, (a, b) = p["line"], p["rings_m"]
    n = line["elements"]
    element_n = p["gravity_m_per_s2"] * line["kg_per_m"] * line["unstretched_m"] / n
    p["drawn_m"] = [[u + (v - u) * i / n for u, v in zip(a, b)] for i in range(n + 1)]
    p["weight_n"] = [element_n * (0.5 if i in (0, n) else 1.0) for i in range(n + 1)]
    p["walker_n"] = p["gravity_m_per_s2"] * p["walker_kg"]
    return p


class Scipy:
    """Newton on the energy, vectorised by NumPy: banded Cholesky of SciPy's, backtracking."""

    def __init__(self):
        global np, solveh_banded
        import numpy as np
        from scipy.linalg import solveh_banded

    def build(self, p, without):
        n, legs = p["line"]["elements"], p["legs"]
        self.n, self.kept = n, [i for i, leg in enumerate(legs) if leg["name"] != without]
        used = [legs[i] for i in self.kept]
        # Members' vectors are `net @ x + held`: the line's first, then the legs', from their anchors to their rings.
        self.net = np.zeros((n + len(used), n + 1))
        self.net[np.arange(n), np.arange(n)] = -1.0
        self.net[np.arange(n), np.arange(1, n + 1)] = 1.0
        self.net[n + np.arange(len(used)), [n * leg["ring"] for leg in used]] = 1.0
        self.held = np.zeros((n + len(used), 3))
        self.held[n:] = [[-c for c in leg["anchor_m"]] for leg in used]
        self.touch = abs(self.net.T)
        self.free_m = np.array([p["line"]["unstretched_m"] / n] * n + [leg["unstretched_m"] for leg in used])
        self.n_per_m = np.array([p["line"]["ea_n"]] * n + [leg["ea_n"] for leg in used]) / self.free_m
        self.down_n = np.array(p["weight_n"])
        # Points in the line's order, so blocks lie on the diagonal and beside it: their places in the lower band.
        r, c = np.tril_indices(3)
        node, (rr, cc) = np.arange(n + 1)[:, None], np.indices((3, 3)).reshape(2, 9)
        self.low = 3 * r + c
        self.own, self.next = (r - c + 0 * node, c + 3 * node), (3 + rr - cc + 0 * node[1:], cc + 3 * node[:-1])
        self.x = np.array(p["drawn_m"])

    def members(self, x):
        d = self.net @ x.reshape(-1, 3) + self.held
        length = np.sqrt(np.einsum("ij,ij->i", d, d))
        stretch = np.maximum(length - self.free_m, 0.0)
        return d / length[:, None], length, stretch, self.n_per_m * stretch

    def energy_and_gradient(self, x):
        u, _, stretch, pull = self.members(x)
        gradient = self.net.T @ (pull[:, None] * u)
        gradient[:, 2] += self.load_n
        return 0.5 * (pull @ stretch) + self.load_n @ x.reshape(-1, 3)[:, 2], gradient.ravel()

    def band(self, x):
        u, length, stretch, pull = self.members(x)
        across = pull / length
        along = np.where(stretch > 0, self.n_per_m, 0.0) - across
        k = along[:, None] * (u[:, :, None] * u[:, None, :]).reshape(-1, 9)
        k[:, ::4] += across[:, None]
        band = np.zeros((6, 3 * self.n + 3))
        band[self.own] = (self.touch @ k)[:, self.low]
        band[self.next] = -k[: self.n]
        return band

    def solve(self, p, node):
        self.load_n = self.down_n.copy()
        self.load_n[node] += p["walker_n"]
        x = self.x.ravel()
        energy, gradient = self.energy_and_gradient(x)
        for _ in range(200):
            if np.sqrt((gradient.reshape(-1, 3) ** 2).sum(1).max()) <= p["balanced_to_n"]:
                self.x = x
                return
            band = self.band(x)
            band[0] += 1e-11 * band[0].max()
            step = solveh_banded(band, -gradient, lower=True, check_finite=False)
            share, slope = 1.0, gradient @ step
            while True:
                then, new = self.energy_and_gradient(x + share * step)
                if then <= energy + 1e-4 * share * slope + 1e-12 * abs(energy) or share < 1e-9:
                    break
                share *= 0.5
            x, energy, gradient = x + share * step, then, new
        sys.exit(f"Newton did not settle with the walker on node {node}")

    def answer(self, p, node):
        pull = self.members(self.x)[3]
        legs = dict(zip(self.kept, pull[self.n:].tolist()))
        return {"legs_n": [legs.get(i, 0.0) for i in range(len(p["legs"]))],
                "line_n": pull[[0, self.n - 1]].tolist(), "walker_m": self.x.reshape(-1, 3)[node].tolist()}


class OpenSees:
    """Corotational trusses of a material that does not push; of the library's solvers, the fastest here."""

    def __init__(self):
        import openseespy.opensees
        self.o = openseespy.opensees

    def build(self, p, without):
        o, n, drawn = self.o, p["line"]["elements"], p["drawn_m"]
        self.kept = [i for i, leg in enumerate(p["legs"]) if leg["name"] != without]
        o.wipe()
        o.model("basic", "-ndm", 3, "-ndf", 3)
        for i, place in enumerate(drawn):
            o.node(i, *place)

        def material(tag, free_m, ea_n, drawn_m):
            o.uniaxialMaterial("Elastic", 100 + tag, ea_n * drawn_m / free_m, 0.0, 0.0)
            o.uniaxialMaterial("InitStrainMaterial", tag, 100 + tag, 1.0 - free_m / drawn_m)

        material(n, p["line"]["unstretched_m"] / n, p["line"]["ea_n"], math.dist(drawn[0], drawn[1]))
        for i in range(n):
            o.element("corotTruss", i, i, i + 1, 1.0, n)
        for i in self.kept:
            leg, tag = p["legs"][i], n + 1 + i
            ring = n * leg["ring"]
            o.node(tag, *leg["anchor_m"])
            o.fix(tag, 1, 1, 1)
            material(tag, leg["unstretched_m"], leg["ea_n"], math.dist(leg["anchor_m"], drawn[ring]))
            o.element("corotTruss", tag, tag, ring, 1.0, tag)
        o.timeSeries("Constant", 0)
        o.pattern("Plain", 0, 0)
        for i, weight in enumerate(p["weight_n"]):
            o.load(i, 0.0, 0.0, -weight)
        # The walker stands on a node for one unit of the library's time: moving on does not change the model.
        for moment, node in enumerate(p["walker_nodes"], 1):
            o.timeSeries("Rectangular", moment, moment - 0.5, moment + 0.5)
            o.pattern("Plain", moment, moment)
            o.load(node, 0.0, 0.0, -p["walker_n"])
        o.constraints("Plain")
        o.numberer("RCM")
        o.system("BandSPD")
        o.test("NormUnbalance", p["balanced_to_n"], 100, 0)
        o.algorithm("Newton")
        o.integrator("LoadControl", 1.0)
        o.analysis("Static")

    def solve(self, p, node):
        if self.o.analyze(1) != 0:
            sys.exit(f"the structural library did not settle with the walker on node {node}")

    def answer(self, p, node):
        o, n = self.o, p["line"]["elements"]
        pull = lambda tag: o.basicForce(tag)[0]
        legs = [pull(n + 1 + i) if i in self.kept else 0.0 for i in range(len(p["legs"]))]
        place = [c + d for c, d in zip(o.nodeCoord(node), o.nodeDisp(node))]
        return {"legs_n": legs, "line_n": [pull(0), pull(n - 1)], "walker_m": place}


OTHERS = {"SciPy, Newton with solveh_banded": Scipy, "OpenSeesPy, corotTruss, Newton, BandSPD": OpenSees}


def work(kind, passes):
    """In a process of its own: all solves, `passes` times; the answers and the median times as JSON."""
    program, p = kind(), read()
    times, clock = [], time.perf_counter
    for _ in range(passes):
        build_s, solve_s, answers = 0.0, 0.0, []
        for without in p["without"]:
            began = clock()
            program.build(p, without)
            build_s += clock() - began
            for node in p["walker_nodes"]:
                began = clock()
                program.solve(p, node)
                solve_s += clock() - began
                answers.append(program.answer(p, node))
        times.append((build_s, solve_s))
    build_s, solve_s = map(statistics.median, zip(*times))
    print("\n" + json.dumps({"build_s": build_s, "solve_s": solve_s, "answers": answers}))


def give_up(why):
    print(why, file=sys.stderr)
    sys.exit(2)


def run(command, passes):
    """Wall time of a process, and what it printed."""
    began = time.perf_counter()
    done = subprocess.run([*command, str(passes)], capture_output=True, text=True, env=ENVIRONMENT)
    took_s = time.perf_counter() - began
    told = [line for line in done.stdout.splitlines() if line.startswith("{")]
    if done.returncode != 0 or not told:
        give_up(f"{' '.join(command)} failed:\n{done.stderr}")
    return took_s, json.loads(told[-1])


def binary():
    command = "cargo bench --bench side_by_side --no-run --message-format=json"
    try:
        built = subprocess.run(command.split(), cwd=ROOT, stdout=subprocess.PIPE, text=True)
    except FileNotFoundError:
        give_up("missing: cargo\nInstall Rust from https://rustup.rs")
    told = [json.loads(line) for line in built.stdout.splitlines() if line.startswith("{")]
    made = [m["executable"] for m in told if m.get("executable") and m["target"]["name"] == "side_by_side"]
    return made[-1] if built.returncode == 0 and made else give_up(f"`{command}` failed")


def disagreement(p, ours, theirs):
    span_m, worst = math.dist(*p["rings_m"]), 0.0
    for a, b in zip(ours, theirs, strict=True):
        pulls = zip(a["legs_n"] + a["line_n"], b["legs_n"] + b["line_n"], strict=True)
        off = [abs(u - v) / max(a["line_n"]) for u, v in pulls] + [math.dist(a["walker_m"], b["walker_m"]) / span_m]
        worst = max([worst, *(o if math.isfinite(o) else math.inf for o in off)])
    return worst


def main(passes):
    missing = [m for m in ("numpy", "scipy", "openseespy") if importlib.util.find_spec(m) is None]
    if missing:
        give_up(f"missing: {', '.join(missing)}\nInstall with: {sys.executable} -m pip install {' '.join(missing)}")
    ours = binary()
    commands = {"spanwright, same mesh": [ours], "spanwright, no mesh": [ours, "exact"]}
    commands |= {name: [sys.executable, __file__, "--work", name] for name in OTHERS}
    wholes, warm = {name: [] for name in commands}, {name: [] for name in commands}
    for _ in range(TURNS):
        for name, command in commands.items():
            wholes[name].append(run(command, 1)[0])
            warm[name].append(run(command, passes)[1])
    p, (mesh, own) = read(), list(commands)[:2]
    answers = warm[mesh][0]["answers"]
    whole = {name: statistics.median(w) for name, w in wholes.items()}
    build = {n: statistics.median(r["build_s"] for r in w) for n, w in warm.items()}
    solver = {n: statistics.median(r["solve_s"] for r in w) for n, w in warm.items()}
    off = {n: max(disagreement(p, answers, r["answers"]) for r in w) for n, w in warm.items()}
    print(f"| {len(answers)} solves, one thread | whole process | models | solver | whole process, solver over those "
          "of spanwright on the same mesh | over those of spanwright without a mesh | disagreement |")
    print("| --- | ---: | ---: | ---: | ---: | ---: | ---: |")
    for n in commands:
        ratios = " | ".join(f"{whole[n] / whole[o]:.2g}, {solver[n] / solver[o]:.2g}" for o in (mesh, own))
        print(f"| {n} | {whole[n]:.4f} s | {build[n]:.5f} s | {solver[n]:.4f} s | {ratios} | {off[n]:.0e} |")
    worst = max(off.values())
    if worst > AGREE:
        print(f"answers differ by {worst:.1e}, more than {AGREE:.0e}", file=sys.stderr)
        sys.exit(1)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--work"]:
        work(OTHERS[sys.argv[2]], int(sys.argv[3]))
    else:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 7)
