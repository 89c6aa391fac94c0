/**
 * The text of a scenario with its line numbers. YAML 1.2 core types, keys unique, aliases limited, size limited:
 * a scenario may come from someone else.
 */
import { type Document, isAlias, isMap, isScalar, isSeq, LineCounter, parseDocument } from 'yaml';
import { ALIASES_MOST, TEXT_MOST } from './kinds.ts';

/** One thing that is wrong with a scenario, where it is and what is allowed. */
export interface Problem {
  readonly file: string;
  /** Line in the file, from 1. */ readonly line: number;
  readonly text: string;
}

/** The problem as one line that editors and terminals can jump to. */
export function problemText({ file, line, text }: Problem): string {
  return `${file}:${line}: ${text}`;
}

export type Path = readonly (string | number)[];

export interface Source {
  /** The content as plain values, undefined when the text is no YAML. */ readonly content: unknown;
  readonly problems: Problem[];
  /** Line of the value at the path, or of the closest parent that exists. */ lineOf(path: Path): number;
  /** Line of the last key of the path itself. */ lineOfKey(path: Path): number;
}

/** Reads YAML text. Never throws: what is wrong is listed. */
export function readSource(text: string, file: string): Source {
  const problems: Problem[] = [];
  const lines = new LineCounter();
  const fail = (line: number, why: string) => problems.push({ file, line, text: why });
  const none: Source = { content: undefined, problems, lineOf: () => 1, lineOfKey: () => 1 };

  if (text.length > TEXT_MOST) {
    fail(1, `the text has ${text.length} characters; allowed are ${TEXT_MOST}`);
    return none;
  }
  let doc: Document.Parsed;
  let content: unknown;
  try {
    doc = parseDocument(text, { lineCounter: lines, prettyErrors: false, version: '1.2', schema: 'core' });
    for (const { message, pos } of [...doc.errors, ...doc.warnings]) fail(lines.linePos(pos[0]).line, plain(message));
    if (problems.length > 0) return none;
    content = doc.toJS({ maxAliasCount: ALIASES_MOST });
  } catch (error) {
    // The YAML reader gives up by throwing on aliases that unfold without end and on very deep nesting.
    fail(1, `not readable as YAML: ${error instanceof Error ? error.message : String(error)}`);
    return none;
  }
  const at = (offset: number | undefined) => (offset === undefined ? 1 : lines.linePos(offset).line);
  return {
    content,
    problems,
    lineOf: (path) => at(offsetOf(doc, path, false)),
    lineOfKey: (path) => at(offsetOf(doc, path, true)),
  };
}

/** The first line of the text without its comment mark: what the scenario shows. '' when it is no comment. */
export function firstComment(text: string): string {
  return /^#\s*(.*)/.exec(text)?.[1].trim() ?? '';
}

/** Offset of the value at the path (or of its key); the last parent found when the path ends early. */
function offsetOf(doc: Document.Parsed, path: Path, ofKey: boolean): number | undefined {
  let node: unknown = doc.contents;
  let offset = doc.contents?.range?.[0];
  path.forEach((step, depth) => {
    if (isAlias(node)) node = node.resolve(doc);
    let next: unknown;
    let start: number | undefined;
    if (isMap(node)) {
      const pair = node.items.find(({ key }) => isScalar(key) && String(key.value) === String(step));
      next = pair?.value;
      const key = isScalar(pair?.key) ? pair.key.range?.[0] : undefined;
      start = ofKey && depth === path.length - 1 ? key : (startOf(next) ?? key);
    } else if (isSeq(node)) {
      next = node.items[Number(step)];
      start = startOf(next);
    }
    node = next;
    offset = start ?? offset;
  });
  return offset;
}

function startOf(node: unknown): number | undefined {
  const range = (node as { range?: readonly number[] | null } | null | undefined)?.range;
  return range?.[0];
}

/** YAML's own messages, without what only its authors need. */
function plain(message: string): string {
  if (message === 'Map keys must be unique') return 'this key stands here twice; each may stand once';
  return `not readable as YAML: ${message}`;
}
