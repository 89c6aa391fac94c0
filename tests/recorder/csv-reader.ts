/**
 * Reads a table as RFC 4180 has it, character by character and strictly: lines end with CRLF, a field with a quote, a comma
 * or a line end is quoted, a quote inside is doubled, every line has as many fields (the rules from memory).
 */
export function readCsv(text: string): string[][] {
  const rows: string[][] = [];
  let row: string[] = [];
  let at = 0;
  const fail = (why: string): never => {
    throw new Error(`line ${rows.length + 1}, character ${at}: ${why}`);
  };
  while (at < text.length) {
    let field = '';
    if (text[at] === '"') {
      at++;
      for (;;) {
        if (at >= text.length) fail('a quoted field does not end');
        if (text[at] !== '"') field += text[at++];
        else if (text[at + 1] === '"') {
          field += '"';
          at += 2;
        } else break;
      }
      at++;
    } else {
      while (at < text.length && text[at] !== ',' && text[at] !== '\r') {
        if (text[at] === '"' || text[at] === '\n') fail('a quote or line end in a field that is not quoted');
        field += text[at++];
      }
    }
    row.push(field);
    if (text[at] === ',') {
      at++;
      continue;
    }
    if (text.slice(at, at + 2) !== '\r\n') fail('a line does not end with CRLF');
    at += 2;
    if (rows.length > 0 && row.length !== rows[0].length) fail(`${row.length} fields, not ${rows[0].length}`);
    rows.push(row);
    row = [];
  }
  return rows;
}
