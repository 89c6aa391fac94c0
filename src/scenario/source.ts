/**
 * The text of a scenario with its line numbers. YAML 1.2 core types, keys unique, aliases limited, size limited:
 * a scenario may come from someone else.
 */
import { type Document, isAlias, isMap, isScalar, isSeq, LineCounter, parseDocument } from 'yaml';
import { ALIAS_NODES_MOST, ALIASES_MOST, DEPTH_MOST, TEXT_MOST } from './kinds.ts';
import { shown } from './shown.ts';

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

/** A text that is no YAML brings errors by the hundred, one for each bracket. */
const YAML_ERRORS_MOST = 20;
const YAML_WORDS_MOST = 300;

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
    // The reader compares every key with every other one, which takes minutes in a hostile text: keysOnce() does not.
    const options = { prettyErrors: false, version: '1.2', schema: 'core', uniqueKeys: false } as const;
    doc = parseDocument(text, { lineCounter: lines, ...options });
    const found = [...doc.errors, ...doc.warnings].slice(0, YAML_ERRORS_MOST);
    for (const { message, pos } of found) {
      fail(lines.linePos(pos[0]).line, `not readable as YAML: ${shown(message, YAML_WORDS_MOST)}`);
    }
    if (problems.length === 0) inspect(doc, (offset, why) => fail(lines.linePos(offset).line, why));
    if (problems.length > 0) return none;
    content = doc.toJS({ maxAliasCount: ALIASES_MOST });
  } catch (error) {
    // The YAML reader gives up by throwing on aliases that unfold without end and on very deep nesting.
    fail(1, `not readable as YAML: ${shown(error instanceof Error ? error.message : String(error), YAML_WORDS_MOST)}`);
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

/**
 * Refuses, in time that grows with the text alone, what the rest of this program does not expect: keys that stand twice or
 * are no plain text, deep nesting, many aliases. Walks without recursion, so that depth costs no stack.
 */
function inspect(doc: Document.Parsed, fail: (offset: number, why: string) => void): void {
  let level: unknown[] = [doc.contents];
  let aliases = 0;
  for (let depth = 0; level.length > 0; depth++) {
    const next: unknown[] = [];
    for (const node of level) {
      if (isAlias(node) && ++aliases > ALIAS_NODES_MOST) {
        fail(startOf(node) ?? 0, `more than ${ALIAS_NODES_MOST} aliases; allowed are ${ALIAS_NODES_MOST}`);
        return;
      }
      if (!isMap(node) && !isSeq(node)) continue;
      if (depth >= DEPTH_MOST) {
        fail(startOf(node) ?? 0, `nested deeper than ${DEPTH_MOST} levels; allowed are ${DEPTH_MOST}`);
        return;
      }
      if (isSeq(node)) next.push(...node.items);
      else if (!keysOnce(node.items, fail)) return;
      else next.push(...node.items.map(({ value }) => value));
    }
    level = next;
  }
}

function keysOnce(items: readonly { readonly key: unknown }[], fail: (offset: number, why: string) => void): boolean {
  const seen = new Set<string>();
  for (const { key } of items) {
    const offset = startOf(key) ?? 0;
    if (!isScalar(key)) fail(offset, 'a key is plain text; a list, a group or an alias is none');
    else if (seen.has(String(key.value))) fail(offset, 'this key stands here twice; each may stand once');
    else {
      seen.add(String(key.value));
      continue;
    }
    return false;
  }
  return true;
}
