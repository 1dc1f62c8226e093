"""Judges the routes that `cargo test --test route_outside` wrote, with networkx and nothing of the crate.

Usage: route_networkx.py [route.json]   (default: target/tmp/route.json beside the crate)

For each network: every walk follows on and sews every drawn edge once in triple and otherwise in single passes; there are
as few pieces as there can be; and what is walked beyond need is, within 0.01 mm, the least there is, found by a matching
of all pairs of odd nodes. Exit code 1 if anything disagrees.
"""

import itertools
import json
import pathlib
import sys

import networkx as nx

WITHIN_MM = 0.01
FEWEST_NETWORKS = 60


def least_extra_mm(graph, required, start):
    """The least length to walk beyond `required`, with free ends (or one end at `start`)."""
    odd = set()
    for a, b in required:
        odd ^= {a}
        odd ^= {b}
    if start is not None:
        odd ^= {start}
    if not odd:
        return 0.0
    odd = sorted(odd)
    far = {a: nx.single_source_dijkstra_path_length(graph, a, weight="mm") for a in odd}
    pairs = nx.Graph()
    for a, b in itertools.combinations(odd, 2):
        pairs.add_edge(a, b, weight=far[a][b])
    free = ["end"] if start is not None else ["one end", "other end"]
    for end in free:
        for a in odd:
            pairs.add_edge(a, end, weight=0.0)
    if len(free) == 2:
        pairs.add_edge(*free, weight=0.0)
    matching = nx.min_weight_matching(pairs)
    if 2 * len(matching) != len(pairs):
        raise ValueError("the odd nodes have no perfect matching")
    return sum(pairs.edges[p]["weight"] for p in matching)


def check_steps(case):
    """Problems with the steps; what they are sewn for."""
    problems, seen = [], set()
    for number, piece in enumerate(case["pieces"]):
        at = None
        for edge, forward, passes in piece["steps"]:
            a, b, _, travel = case["edges"][edge]
            a, b = (a, b) if forward else (b, a)
            if at not in (None, a):
                problems.append(f"piece {number} breaks off at edge {edge}")
            if passes != (1 if travel or edge in seen else 3):
                problems.append(f"edge {edge} is sewn {passes} times")
            seen.add(edge)
            at = b
    left_out = [e for e, edge in enumerate(case["edges"]) if not edge[3] and e not in seen]
    return problems + [f"edge {e} is left out" for e in left_out]


def judge(case):
    """All that is wrong with one route."""
    problems = check_steps(case)
    graph = nx.Graph()
    for a, b, mm, _ in case["edges"]:
        if not graph.has_edge(a, b) or graph.edges[a, b]["mm"] > mm:
            graph.add_edge(a, b, mm=mm)
    drawn_nodes = {n for a, b, _, travel in case["edges"] if not travel for n in (a, b)}
    fewest = sum(1 for part in nx.connected_components(graph) if part & drawn_nodes)
    if len(case["pieces"]) != fewest:
        problems.append(f"{len(case['pieces'])} pieces, not {fewest}")
    least = 0.0
    for piece in case["pieces"]:
        edges = {step[0] for step in piece["steps"]}
        drawn = [e for e in edges if not case["edges"][e][3]]
        alone = nx.Graph([case["edges"][e][:2] for e in drawn])
        if nx.is_connected(alone) and piece["connectors"]:
            problems.append("connectors where none are needed")
        required = drawn + piece["connectors"]
        connectors = sum(case["edges"][e][2] for e in piece["connectors"])
        ends = [case["edges"][e][:2] for e in required]
        extra = least_extra_mm(graph, ends, piece["start"])
        walked = sum(case["edges"][step[0]][2] for step in piece["steps"])
        walked -= sum(case["edges"][e][2] for e in drawn)
        if abs(walked - connectors - extra) > WITHIN_MM:
            problems.append(f"walks {walked - connectors:.4f} mm beyond need, not {extra:.4f}")
        least += connectors + extra
    if abs(least - case["least_mm"]) > WITHIN_MM:
        problems.append(f"says the least is {case['least_mm']:.4f} mm, not {least:.4f}")
    return problems


def main():
    beside = pathlib.Path(__file__).resolve().parents[2] / "target" / "tmp" / "route.json"
    path = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else beside
    cases = json.loads(path.read_text())
    wrong = 0
    for case in cases:
        for problem in judge(case):
            print(f"{case['name']}: {problem}", file=sys.stderr)
            wrong += 1
    print(f"{len(cases)} routes judged with networkx {nx.__version__}: {wrong} problems")
    return 1 if wrong or len(cases) < FEWEST_NETWORKS else 0


if __name__ == "__main__":
    sys.exit(main())
