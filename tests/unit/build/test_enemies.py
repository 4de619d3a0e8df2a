"""Items that ask the same problem, against the plain way with a dictionary of lists."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from itembank.build.enemies import Enemies

ITEMS = st.lists(st.tuples(st.integers(0, 4), st.integers(0, 2)), max_size=30)


@given(ITEMS)
def test_groups_are_those_of_several_templates_in_the_order_of_their_second_item(
    items: list[tuple[int, int]],
) -> None:
    enemies = Enemies(2)
    seen: dict[int, list[tuple[int, str]]] = {}
    seconds: list[int] = []
    for number, (problem, entry) in enumerate(items):
        enemies.add(bytes([problem, 0]), entry, f"C{number}")
        seen.setdefault(problem, []).append((entry, f"C{number}"))
        if len(seen[problem]) == 2:
            seconds.append(problem)

    wanted = [
        [code for _, code in seen[problem]]
        for problem in seconds
        if len({entry for entry, _ in seen[problem]}) > 1
    ]
    assert wanted == enemies.groups()
