"""QTI 3.0: one item a file, choice and entry, MathML, feedback for each slip, response processing spelled out.

    item.py        an item's file, part by part
    body.py        stems, options, boxes and the staff's block
    processing.py  declarations and response processing of choices and entries
    rules.py       the standard's expressions as text
    manifest.py    the package's manifest, resource by resource

Pupil-visible parts hold neither key, address nor the name of a slip. `data-` attributes mark what is the problem,
the key and each line in the staff's block, so that an audit can find them from the file alone.
"""

from itembank.writers.qti.item import item_xml, shortfalls
from itembank.writers.qti.manifest import manifest_head, manifest_resource, manifest_tail

__all__ = ["item_xml", "manifest_head", "manifest_resource", "manifest_tail", "shortfalls"]
