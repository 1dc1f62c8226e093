"""Times networkx and rustworkx on the least backtracking of the networks that the benchmark of the crate wrote.

Usage: WRITE=/tmp/hatch.json cargo bench --bench route -- match_a_hatch
       route_bench.py /tmp/hatch.json [--skip-networkx-above LINES]

Both do the join alone: shortest ways between all odd nodes, and a least perfect matching of all pairs with two free ends.
The crate's own time, of the whole route with proof and walk, is in the table that the benchmark prints.
"""

import argparse
import itertools
import json
import pathlib
import time

import networkx as nx
import rustworkx as rx

TOP = 10**9


def in_um(case):
    return [(a, b, max(1, round(mm * 1000))) for a, b, mm in case["edges"]]


def by_networkx(case):
    graph = nx.Graph()
    for a, b, um in in_um(case):
        if not graph.has_edge(a, b) or graph.edges[a, b]["weight"] > um:
            graph.add_edge(a, b, weight=um)
    odd = [n for n, degree in degrees(case).items() if degree % 2]
    far = {a: nx.single_source_dijkstra_path_length(graph, a) for a in odd}
    pairs = nx.Graph()
    pairs.add_weighted_edges_from((a, b, far[a][b]) for a, b in itertools.combinations(odd, 2) if b in far[a])
    pairs.add_weighted_edges_from((a, end, 0) for a in odd for end in ("one", "other"))
    return sum(pairs.edges[p]["weight"] for p in nx.min_weight_matching(pairs))


def by_rustworkx(case):
    graph = rx.PyGraph()
    graph.add_nodes_from(range(case["nodes"]))
    graph.add_edges_from(in_um(case))
    odd = [n for n, degree in degrees(case).items() if degree % 2]
    pairs = rx.PyGraph()
    pairs.add_nodes_from(range(len(odd) + 2))
    for i, a in enumerate(odd):
        far = rx.dijkstra_shortest_path_lengths(graph, a, float)
        pairs.add_edges_from((i, j, int(far[b])) for j, b in enumerate(odd) if j > i and b in far)
        pairs.add_edges_from((i, len(odd) + end, 0) for end in (0, 1))
    found = rx.max_weight_matching(pairs, max_cardinality=True, weight_fn=lambda um: TOP - um)
    return sum(pairs.get_edge_data(a, b) for a, b in found)


def degrees(case):
    count = {}
    for a, b, _ in case["edges"]:
        count[a] = count.get(a, 0) + 1
        count[b] = count.get(b, 0) + 1
    return count


def timed(work, case):
    begin = time.process_time()
    um = work(case)
    return um, time.process_time() - begin


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("networks", type=pathlib.Path)
    parser.add_argument("--skip-networkx-above", type=int, default=10**9, metavar="LINES")
    asked = parser.parse_args()
    print("| lines | nodes | odd | least, µm | networkx, s | rustworkx, s |")
    print("| --- | --- | --- | --- | --- | --- |")
    for case in json.loads(asked.networks.read_text()):
        odd = sum(d % 2 for d in degrees(case).values())
        um, rustworkx_s = timed(by_rustworkx, case)
        networkx = "–"
        if case["lines"] <= asked.skip_networkx_above:
            other, networkx_s = timed(by_networkx, case)
            networkx = f"{networkx_s:.2f}"
            if other != um:
                raise SystemExit(f"networkx finds {other} µm, rustworkx {um} µm")
        if um != case["least_um"]:
            raise SystemExit(f"rustworkx finds {um} µm, the crate {case['least_um']} µm")
        print(f"| {case['lines']} | {case['nodes']} | {odd} | {um} | {networkx} | {rustworkx_s:.3f} |", flush=True)


if __name__ == "__main__":
    main()
