"""Many PDFs bound into one file as they are made, each let go of before the next is begun.

A class of 32 records has 150 pages or more. WeasyPrint would hold all of them before it writes the
first, and a program that joins finished PDFs holds every element of their structure. Here each
document goes to the file as soon as it is laid out; what stays in memory is where its objects lie.

The file is PDF 1.7 (ISO 32000-1): one tree of pages, one outline, one structure tree with a part
for each document, all attached files. Links within a document are not carried over.
"""

import hashlib
from collections.abc import Iterable
from typing import Any, BinaryIO, Final

from coursework.exports.paper import AttachedFile, complete_structure, write_pdf
from coursework.exports.pdf_syntax import (
    array,
    as_bytes,
    dictionary,
    number_of,
    reference,
    renumbered,
    shared,
    stream_of,
)

# The objects that all documents share, and which are written last.
CATALOG, PAGES, STRUCTURE, DOCUMENT, OUTLINE, PARENTS, HEADINGS, INFO = range(1, 9)
FREE: Final = bytes(8)


class Volume:
    """One PDF made of many documents.

    Parameters
    ----------
    out : binary file
        Open for writing; it is not closed.
    """

    def __init__(self, out: BinaryIO) -> None:
        self._out = out
        self._position = 0
        self._hash = hashlib.md5(usedforsecurity=False)
        # One entry of eight bytes for each object (ISO 32000-1, 7.5.8.3): how it is stored, and
        # where. Objects 0 to INFO come first.
        self._entries = bytearray(FREE * (INFO + 1))
        self._pages: list[bytes] = []
        self._page_count = 0
        self._parts: list[bytes] = []
        self._parents: list[bytes] = []
        self._next_parent = 0
        self._headings: list[bytes] = []
        self._outline: list[tuple[int, bytes]] = []
        self._files: list[tuple[bytes, bytes]] = []
        self._shared: dict[str, bytes] = {}
        self._info = b""
        self._write(b"%PDF-1.7\n%\xf0\x9f\x96\xa4\n")

    def add(self, page: str, *styles: str, attached: Iterable[AttachedFile] = ()) -> int:
        """Lay a document out and write it behind the others; return how many pages it has.

        Title, language and the other data about the whole file are those of the first document.

        Raises
        ------
        NoPdf
            When Pango is missing.
        """
        before = self._page_count
        write_pdf(page, *styles, attached=attached, finish=self._take)
        return self._page_count - before

    def close(self) -> None:
        """Write what holds the documents together; nothing can be added after it."""
        for place, (number, item) in enumerate(self._outline):
            beside = dictionary(
                Prev=_at(self._outline, place - 1), Next=_at(self._outline, place + 1)
            )
            self._write_packed([(number, item[:-2] + beside[2:])])
        self._write_packed(list(enumerate(self._shared_objects(), start=CATALOG)))
        self._write_places()

    # --- one document

    def _take(self, pdf: Any) -> None:
        """Write all objects of a document, and leave it empty."""
        complete_structure(pdf, prefix=f"{len(self._pages):04}-")
        base = len(self._entries) // 8 - 1
        self._entries += FREE * (len(pdf.objects) - 1)
        left_out = self._bind(pdf, base)
        packed = []
        for each in pdf.objects[1:]:
            if each.number in left_out:
                continue
            if each.compressible:
                packed.append((base + each.number, renumbered(each.data, base)))
            else:
                head, stream, body = each.data.partition(b"\nstream\n")
                self._write_object(base + each.number, renumbered(head, base) + stream + body)
        self._write_packed(packed)
        del pdf.objects[1:]

    def _bind(self, pdf: Any, base: int) -> set[int]:
        """Hang a document into what is shared; return the numbers of what it has no use for."""
        catalog = pdf.catalog
        self._bind_pages(pdf, base)
        left_out = {catalog.number, self._bind_structure(pdf, base)}
        left_out |= self._bind_outline(pdf, base)
        self._bind_files(pdf, base)
        metadata = renumbered(catalog["Metadata"], base)
        if not self._shared:
            names = ("Lang", "MarkInfo", "ViewerPreferences")
            self._shared = {name: renumbered(as_bytes(catalog[name]), base) for name in names}
            self._shared["Metadata"] = metadata
            self._info = pdf.info.data
        else:
            left_out.add(number_of(catalog["Metadata"]))
        return left_out

    def _bind_pages(self, pdf: Any, base: int) -> None:
        pdf.pages["Parent"] = shared(PAGES)
        self._pages.append(reference(base + pdf.pages.number))
        self._page_count += pdf.pages["Count"]

    def _bind_structure(self, pdf: Any, base: int) -> int:
        root = pdf.objects[number_of(pdf.catalog["StructTreeRoot"])]
        part = pdf.objects[number_of(root["K"][0])]
        part["S"], part["P"] = "/Part", shared(DOCUMENT)
        self._parts.append(reference(base + part.number))
        if "IDTree" in root:
            names = pdf.objects[number_of(root["IDTree"])]
            names["Limits"] = array(names["Names"][0], names["Names"][-2])
            self._headings.append(reference(base + names.number))
        self._bind_parents(pdf, pdf.objects[number_of(root["ParentTree"])], base)
        return int(root.number)

    def _bind_parents(self, pdf: Any, parents: Any, base: int) -> None:
        """Move the keys by which marked content finds its element behind those before."""
        keys = parents["Nums"]
        for place in range(0, len(keys), 2):
            keys[place] += self._next_parent
        for each in pdf.objects:
            if isinstance(each, dict):
                for name in {"StructParent", "StructParents"} & each.keys():
                    each[name] += self._next_parent
        parents["Limits"] = array(keys[0], keys[-2])
        self._next_parent = keys[-2] + 1
        self._parents.append(reference(base + parents.number))

    def _bind_outline(self, pdf: Any, base: int) -> set[int]:
        """Keep the document's own headings back until it is known what comes after them."""
        if "Outlines" not in pdf.catalog:
            return set()
        outline = pdf.objects[number_of(pdf.catalog["Outlines"])]
        left_out, item = {outline.number}, pdf.objects[number_of(outline["First"])]
        while True:
            left_out.add(item.number)
            own = {name: item[name] for name in item if name not in {"Prev", "Next", "Parent"}}
            # Closed, so that the outline of a class shows its students and not their sections.
            own["Count"] = -abs(own["Count"])
            own["Parent"] = shared(OUTLINE)
            data = renumbered(dictionary(**own), base)
            self._outline.append((base + item.number, data))
            if "Next" not in item:
                return left_out
            item = pdf.objects[number_of(item["Next"])]

    def _bind_files(self, pdf: Any, base: int) -> None:
        if "Names" not in pdf.catalog or "EmbeddedFiles" not in pdf.catalog["Names"]:
            return
        names = pdf.objects[number_of(pdf.catalog["Names"]["EmbeddedFiles"])]["Names"]
        for name, file in zip(names[::2], names[1::2], strict=True):
            self._files.append((as_bytes(name), renumbered(file, base)))

    # --- what is shared

    def _shared_objects(self) -> Iterable[bytes]:
        """Yield the objects from CATALOG to INFO."""
        files = sorted(self._files)
        catalog: dict[str, Any] = {
            "Type": "/Catalog",
            "Pages": reference(PAGES),
            "StructTreeRoot": reference(STRUCTURE),
            **self._shared,
        }
        if self._outline:
            catalog |= {"Outlines": reference(OUTLINE), "PageMode": "/UseOutlines"}
        if files:
            names = dictionary(Names=array(*(part for pair in files for part in pair)))
            catalog["Names"] = dictionary(EmbeddedFiles=names)
            catalog["AF"] = array(*(file for _name, file in files))
        yield dictionary(**catalog)
        yield dictionary(Type="/Pages", Kids=array(*self._pages), Count=self._page_count)
        yield dictionary(
            Type="/StructTreeRoot",
            K=array(reference(DOCUMENT)),
            ParentTree=reference(PARENTS),
            ParentTreeNextKey=self._next_parent,
            IDTree=reference(HEADINGS),
        )
        yield dictionary(
            Type="/StructElem", S="/Document", P=reference(STRUCTURE), K=array(*self._parts)
        )
        yield dictionary(
            Type="/Outlines",
            First=_at(self._outline, 0),
            Last=_at(self._outline, len(self._outline) - 1),
            Count=len(self._outline),
        )
        yield dictionary(Kids=array(*self._parents))
        yield dictionary(Kids=array(*self._headings))
        yield self._info

    # --- the file

    def _write(self, data: bytes) -> None:
        self._out.write(data)
        self._hash.update(data)
        self._position += len(data)

    def _place(self, number: int, *, kind: int, where: int, index: int = 0) -> None:
        entry = bytes([kind]) + where.to_bytes(5, "big") + index.to_bytes(2, "big")
        self._entries[8 * number : 8 * number + 8] = entry

    def _write_object(self, number: int, data: bytes) -> None:
        self._place(number, kind=1, where=self._position)
        self._write(b"%d 0 obj\n%b\nendobj\n" % (number, data))

    def _new_number(self) -> int:
        self._entries += FREE
        return len(self._entries) // 8 - 1

    def _write_packed(self, objects: list[tuple[int, bytes]]) -> None:
        """Write objects together, compressed (ISO 32000-1, 7.5.7)."""
        holder, index, position = self._new_number(), [], 0
        for place, (number, data) in enumerate(objects):
            self._place(number, kind=2, where=holder, index=place)
            index.append(b"%d %d" % (number, position))
            position += len(data) + 1
        first = b" ".join(index) + b"\n"
        content = first + b"\n".join(data for _number, data in objects)
        head = {"Type": "/ObjStm", "N": len(objects), "First": len(first)}
        self._write_object(holder, stream_of(content, **head))

    def _write_places(self) -> None:
        """Write where each object lies, and end the file (ISO 32000-1, 7.5.8)."""
        number, start = self._new_number(), self._position
        self._place(number, kind=1, where=start)
        name = b"<%b>" % self._hash.hexdigest().encode()
        head = {
            "Type": "/XRef",
            "Size": len(self._entries) // 8,
            "W": b"[1 5 2]",
            "Root": reference(CATALOG),
            "Info": reference(INFO),
            "ID": array(name, name),
        }
        self._write(b"%d 0 obj\n%b\nendobj\n" % (number, stream_of(bytes(self._entries), **head)))
        self._write(b"startxref\n%d\n%%%%EOF\n" % start)


def _at(items: list[tuple[int, bytes]], place: int) -> bytes | None:
    return reference(items[place][0]) if 0 <= place < len(items) else None
