/*! Workbooks made for a test: zip archives of the few parts that a reader needs. */

use polars_parquet::parquet::compression::{CompressionOptions, compress};

/// Bytes of a gzip member around its deflated bytes: the header before, sum and size behind.
const GZIP_HEADER: usize = 10;
const GZIP_END: usize = 8;

/// An archive of deflated parts (APPNOTE 6.3, 4.3.7 and 4.3.12 to 4.3.16).
pub fn archive(parts: &[(&str, &str)]) -> Vec<u8> {
    let (mut bytes, mut directory) = (Vec::new(), Vec::new());
    for (name, text) in parts {
        let mut member = Vec::new();
        compress(CompressionOptions::Gzip(None), text.as_bytes(), &mut member).unwrap();
        let (packed, end) = member.split_at(member.len() - GZIP_END);
        let packed = &packed[GZIP_HEADER..];
        let mut facts = Vec::from([20u8, 0, 0, 0, 8, 0, 0, 0, 0x21, 0x5a]);
        facts.extend(&end[..4]);
        facts.extend((packed.len() as u32).to_le_bytes());
        facts.extend((text.len() as u32).to_le_bytes());
        facts.extend((name.len() as u16).to_le_bytes());
        facts.extend([0, 0]);
        directory.extend(b"PK\x01\x02\x14\x00");
        directory.extend(&facts);
        directory.extend([0; 10]);
        directory.extend((bytes.len() as u32).to_le_bytes());
        directory.extend(name.as_bytes());
        bytes.extend(b"PK\x03\x04");
        bytes.extend(&facts);
        bytes.extend(name.as_bytes());
        bytes.extend(packed);
    }
    let at = bytes.len() as u32;
    bytes.extend(&directory);
    bytes.extend(b"PK\x05\x06\0\0\0\0");
    let count = (parts.len() as u16).to_le_bytes();
    bytes.extend([count, count].concat());
    bytes.extend((directory.len() as u32).to_le_bytes());
    bytes.extend(at.to_le_bytes());
    bytes.extend([0, 0]);
    bytes
}

/// The rows of a sheet, as XML: a row a line, cells cut by `|`; numbers are numbers, `=…` is a
/// formula without a stored result, all else text.
pub fn rows(text: &str) -> String {
    let cell = |cell: &str| match (cell.parse::<f64>(), cell.strip_prefix('=')) {
        _ if cell.is_empty() => "<c/>".to_string(),
        (Ok(_), _) => format!("<c><v>{cell}</v></c>"),
        (_, Some(formula)) => format!("<c><f>{formula}</f></c>"),
        _ => format!("<c t=\"inlineStr\"><is><t>{cell}</t></is></c>"),
    };
    let row = |line: &str| {
        format!(
            "<row>{}</row>",
            line.split('|').map(cell).collect::<String>()
        )
    };
    text.lines().map(row).collect()
}

/// An .xlsx workbook of one sheet with these rows of XML.
pub fn xlsx(rows: &str, is_1904: bool) -> Vec<u8> {
    xlsx_of(&[("Log", rows)], is_1904)
}

/// An .xlsx workbook of these sheets, each its name and its rows of XML; style 1 is struck out.
pub fn xlsx_of(sheets: &[(&str, &str)], is_1904: bool) -> Vec<u8> {
    const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    const REL: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    const PACKAGE: &str = "http://schemas.openxmlformats.org/package/2006/relationships";
    let system = match is_1904 {
        true => "<workbookPr date1904=\"1\"/>",
        false => "",
    };
    let numbered = || (1..).zip(sheets);
    let listed: String = numbered()
        .map(|(n, (name, _))| format!("<sheet name=\"{name}\" sheetId=\"{n}\" r:id=\"rId{n}\"/>"))
        .collect();
    let related: String = numbered()
        .map(|(n, _)| {
            format!(
                "<Relationship Id=\"rId{n}\" Type=\"{REL}/worksheet\" Target=\"worksheets/sheet{n}.xml\"/>"
            )
        })
        .collect();
    let mut parts = vec![
        (
            "_rels/.rels".to_string(),
            format!(
                "<Relationships xmlns=\"{PACKAGE}\"><Relationship Id=\"rId1\" Type=\"{REL}/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
            ),
        ),
        (
            "xl/workbook.xml".to_string(),
            format!(
                "<workbook xmlns=\"{MAIN}\" xmlns:r=\"{REL}\">{system}<sheets>{listed}</sheets></workbook>"
            ),
        ),
        (
            "xl/_rels/workbook.xml.rels".to_string(),
            format!("<Relationships xmlns=\"{PACKAGE}\">{related}</Relationships>"),
        ),
        (
            "xl/styles.xml".to_string(),
            format!(
                "<styleSheet xmlns=\"{MAIN}\"><fonts><font/><font><strike/></font></fonts><cellXfs><xf fontId=\"0\"/><xf fontId=\"1\"/></cellXfs></styleSheet>"
            ),
        ),
        (
            "xl/vbaProject.bin".to_string(),
            "a macro, which nobody looks at".to_string(),
        ),
    ];
    parts.extend(numbered().map(|(n, (_, rows))| {
        (
            format!("xl/worksheets/sheet{n}.xml"),
            format!("<worksheet xmlns=\"{MAIN}\"><sheetData>{rows}</sheetData></worksheet>"),
        )
    }));
    let parts: Vec<(&str, &str)> = parts
        .iter()
        .map(|(n, t)| (n.as_str(), t.as_str()))
        .collect();
    archive(&parts)
}

/// An .ods workbook of one sheet with these rows of XML.
pub fn ods(rows: &str) -> Vec<u8> {
    ods_of("", rows)
}

/// The same with these styles before the sheet.
pub fn ods_of(styles: &str, rows: &str) -> Vec<u8> {
    let names: String = ["office", "table", "text", "style"]
        .map(|name| format!(" xmlns:{name}=\"urn:oasis:names:tc:opendocument:xmlns:{name}:1.0\""))
        .concat();
    archive(&[
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        (
            "content.xml",
            &format!(
                "<office:document-content{names}>{styles}<office:body><office:spreadsheet><table:table table:name=\"Log\">{rows}</table:table></office:spreadsheet></office:body></office:document-content>"
            ),
        ),
        (
            "META-INF/manifest.xml",
            "<manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\"/>",
        ),
    ])
}
