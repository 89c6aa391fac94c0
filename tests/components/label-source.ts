/** What the page says, read from its own source: texts of words.ts files, texts and names inside templates, keys, colors. */
import { parseAst } from 'vite';
import { read, sources } from '../architecture/source.ts';

interface Node {
  readonly type: string;
  readonly [name: string]: unknown;
}

export interface Said {
  readonly path: string;
  readonly text: string;
}

/** Stands for what only the run knows: a value, a name of the catalogue. */
const HOLE = '…';
/** Places of texts that nobody reads: modules, types, keys of objects. */
const UNREAD = new Set(['ImportDeclaration', 'ImportExpression', 'ExportAllDeclaration', 'TSLiteralType']);
/** Names that a person hears or reads, in templates. */
const NAMED = /(?:aria-label|title|placeholder|aria-roledescription|aria-description)=("([^"]*)"|([^\s>"]+))/g;

const isNode = (value: unknown): value is Node =>
  typeof value === 'object' && value !== null && typeof (value as Node).type === 'string';

function* children(node: Node): Generator<Node> {
  for (const [name, value] of Object.entries(node)) {
    if (name === 'key' && node.type === 'Property' && node.computed === false) continue;
    for (const each of Array.isArray(value) ? value : [value]) if (isNode(each)) yield each;
  }
}

function joined(node: Node): string {
  const quasi = node.type === 'TaggedTemplateExpression' ? (node.quasi as Node) : node;
  return (quasi.quasis as { value: { cooked?: string; raw: string } }[])
    .map(({ value }) => value.cooked ?? value.raw)
    .join(HOLE);
}

const isTemplate = (node: Node): boolean =>
  node.type === 'TaggedTemplateExpression' && /^(html|svg)$/.test(String((node.tag as Node).name));
const isStyle = (node: Node): boolean => node.type === 'TaggedTemplateExpression' && (node.tag as Node).name === 'css';

/** Text between tags, and names in attributes. */
function spoken(markup: string): string[] {
  const tagless = markup.replace(/<!--[\s\S]*?-->/g, ' ').replace(/<[^>]*>/g, '\u0000');
  const names = [...markup.matchAll(NAMED)].map((match) => match[2] ?? match[3] ?? '');
  return [...tagless.split('\u0000'), ...names];
}

const plain = (text: string): string => text.replace(/\s+/g, ' ').trim();
const hasWord = (text: string): boolean => /\p{L}/u.test(text.replaceAll(HOLE, ''));

function walk(node: Node, see: (node: Node) => boolean): void {
  if (UNREAD.has(node.type) || !see(node)) return;
  for (const child of children(node)) walk(child, see);
}

const treeOf = (path: string): Node => parseAst(read(path), { lang: 'ts' }) as unknown as Node;

/** Every text of a words.ts file. */
function inWords(path: string): string[] {
  const found: string[] = [];
  walk(treeOf(path), (node) => {
    if (node.type === 'Literal' && typeof node.value === 'string') found.push(node.value);
    else if (node.type === 'TemplateLiteral') found.push(joined(node));
    return true;
  });
  return found;
}

/** Every text and name that stands in the templates of a file itself. */
function inTemplates(path: string): string[] {
  const found: string[] = [];
  walk(treeOf(path), (node) => {
    if (isStyle(node)) return false;
    if (isTemplate(node)) found.push(...spoken(joined(node)));
    return true;
  });
  return found;
}

/** Texts in the code of a file that looks for no words.ts: what begins like a word of a person, or has a gap. */
function inCode(path: string): string[] {
  const found: string[] = [];
  walk(treeOf(path), (node) => {
    if (isStyle(node)) return false;
    if (node.type === 'Literal' && typeof node.value === 'string' && !KEY_NAME.test(node.value)) {
      if (/^[A-Z][a-z]+( |$)|^[A-Z][a-z]{2,}|^[a-z]+,? [a-z]/.test(node.value)) found.push(node.value);
    }
    return true;
  });
  return found;
}

const collect = (paths: readonly string[], of: (path: string) => string[]): Said[] =>
  paths.flatMap((path) =>
    of(path)
      .map(plain)
      .filter(hasWord)
      .map((text) => ({ path, text })),
  );

const FILES = sources('components');
const isWords = (path: string): boolean => path.endsWith('/words.ts');

/** Files that still say words in their code. */
const SAYS = [
  'components/ahead-list/ahead-list.ts',
  'components/controller-sheet/controller-sheet.ts',
  'components/head-bar/head-bar.ts',
  'components/spindle-page/facts.ts',
  'components/style/rows.ts',
  'components/time-rail/time-rail.ts',
].filter((path) => FILES.includes(path));

export const codeSaid = (): Said[] => collect(SAYS, inCode);
export const wordsSaid = (): Said[] => collect(FILES.filter(isWords), inWords);
export const templatesSaid = (): Said[] =>
  collect(
    FILES.filter((path) => !isWords(path)),
    inTemplates,
  );

/** Names of keys, as the browser tells them; a single sign is one, too. */
const KEY_NAME = /^(Arrow(Up|Down|Left|Right)|Home|End|Page(Up|Down)|Enter|Escape|Backspace|Delete|Tab)$/;
const nameOf = (of: Node | undefined): string =>
  String(of?.name ?? of?.value ?? (of?.property as Node | undefined)?.name);
const isKey = (name: string): boolean => KEY_NAME.test(name) || name.length === 1;

/** Keys by which a node tells keys apart: compared with, rows of a table of keys, members of a set. */
function keysOf(node: Node): string[] {
  if (node.type === 'BinaryExpression' && String(node.operator).startsWith('==')) {
    return nameOf(node.left as Node) === 'key' ? [nameOf(node.right as Node)] : [];
  }
  if (node.type === 'ObjectExpression') {
    const names = (node.properties as Node[]).map((row) => nameOf(row.key as Node | undefined));
    const signs = names.length > 0 && names.every((name) => /^[^\w\s]$/.test(name));
    return signs || names.some((name) => KEY_NAME.test(name)) ? names : [];
  }
  if (node.type === 'NewExpression' && nameOf(node.callee as Node) === 'Set') {
    const [list] = node.arguments as Node[];
    return list?.type === 'ArrayExpression' ? (list.elements as Node[]).map(nameOf) : [];
  }
  return [];
}

/** Every key that some component listens for, and every one that it announces. */
export function keysHeard(): Said[] {
  const found: Said[] = [];
  for (const path of FILES.filter((each) => !isWords(each))) {
    const add = (key: string) => {
      if (isKey(key)) found.push({ path, text: key === ' ' ? 'Space' : key.length === 1 ? key.toUpperCase() : key });
    };
    walk(treeOf(path), (node) => {
      keysOf(node).forEach(add);
      if (isTemplate(node)) for (const [, key] of joined(node).matchAll(/aria-keyshortcuts="?([^\s">]+)/g)) add(key);
      return true;
    });
  }
  return found.filter(({ text }) => text !== HOLE);
}

/** Names of the colors in the style sheet of the whole page. */
export const colorsSet = (): string[] => [
  ...new Set([...read('components/style/tokens.css').matchAll(/(--[\w-]+):\s*#/g)].map(([, name]) => name)),
];
