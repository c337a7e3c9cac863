"""Spreadsheet files made by hand, as programs write them."""

import io
import zipfile

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
STRICT = "http://purl.oclc.org/ooxml/spreadsheetml/main"
RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
OFFICE = "urn:oasis:names:tc:opendocument:xmlns:"
DAYS = (  # of the styles of cells, 1 shows a number as a day, 2 as a time
    f'<styleSheet xmlns="{MAIN}"><cellXfs><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="20"/></cellXfs>'
    "</styleSheet>"
)


def packed(parts: dict[str, str | bytes], compress: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A zip file of these parts."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", compress) as made:
        for name, content in parts.items():
            made.writestr(name, content)
    return stream.getvalue()


def xlsx_of(
    *sheets: str | bytes, shared: str = "", first: str = "", compress: int = zipfile.ZIP_DEFLATED
) -> bytes:
    """A spreadsheet file of whole parts; `first` is what the list of sheets says of the first of them."""
    numbers = range(1, len(sheets) + 1)
    listed = "".join(
        f'<sheet name="S{n}" sheetId="{n}" {first if n == 1 else ""} r:id="rId{n}"/>' for n in numbers
    )
    related = "".join(
        f'<Relationship Id="rId{n}" Type="{RELATIONS}/worksheet" Target="worksheets/sheet{n}.xml"/>'
        for n in numbers
    )
    return packed(
        {
            "[Content_Types].xml": f'<Types xmlns="{PACKAGE}/content-types"/>',
            "_rels/.rels": f'<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="rId1" '
            f'Type="{RELATIONS}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
            "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{RELATIONS}"><sheets>{listed}</sheets>'
            "</workbook>",
            "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{PACKAGE}/relationships">{related}'
            "</Relationships>",
            "xl/styles.xml": DAYS,
            "xl/sharedStrings.xml": f'<sst xmlns="{MAIN}">{shared}</sst>',
            **{f"xl/worksheets/sheet{n}.xml": sheet for n, sheet in zip(numbers, sheets, strict=True)},
        },
        compress,
    )


def xlsx(sheet: str, shared: str = "", compress: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A spreadsheet file with these rows and shared texts."""
    rows = f'<worksheet xmlns="{MAIN}"><sheetData>{sheet}</sheetData></worksheet>'
    return xlsx_of(rows, shared=shared, compress=compress)


def ods(*tables: str, head: str = "") -> bytes:
    """A spreadsheet file of the open format with the rows of these sheets."""
    spaces = " ".join(
        f'xmlns:{name}="{OFFICE}{name}:1.0"' for name in ("office", "table", "text")
    ) + ' xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"'  # fmt: skip
    sheets = "".join(f'<table:table table:name="T{n}">{rows}</table:table>' for n, rows in enumerate(tables))
    return packed(
        {
            "mimetype": "application/vnd.oasis.opendocument.spreadsheet",
            "META-INF/manifest.xml": f'<m:manifest xmlns:m="{OFFICE}manifest:1.0"/>',
            "content.xml": f"{head}<office:document-content {spaces}><office:body><office:spreadsheet>"
            f"{sheets}</office:spreadsheet></office:body></office:document-content>",
        }
    )
