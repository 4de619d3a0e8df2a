"""What a line of working becomes when something is changed: derived values follow what they are worked out from."""

from __future__ import annotations

from itembank.expressions import tree
from itembank.templates.template import SlipTemplate, Template


def changed(template: Template, slip: SlipTemplate, node: tree.Node) -> tree.Node:
    """A tree with what the slip changes put in.

    A derived value that stands on something changed is worked out again, unless the slip says what it becomes. Where it
    says so, signs of inequalities stand the other way round.
    """
    becomes: dict[str, tree.Node] = {name: expression.node for name, expression in slip.change}
    for derived in template.derived:
        if derived.name not in becomes and not set(tree.names(derived.expression.node)).isdisjoint(becomes):
            becomes[derived.name] = tree.substitute(derived.expression.node, becomes)
    found = tree.substitute(node, becomes)
    return tree.turned(found) if slip.turned else found


def slip_node(template: Template, slip: SlipTemplate) -> tree.Node:
    """What a slip comes to: its value, or its line with the change."""
    return changed(template, slip, slip.value.node) if slip.is_change else slip.value.node
