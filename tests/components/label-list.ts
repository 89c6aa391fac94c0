/** Which texts of the page are labels, and what LABELS.md says of them. */
import { read } from '../architecture/source.ts';
import type { Said } from './label-source.ts';

/** Longer than this is something to read, not to press or to look up. */
const MOST = 44;

/** Whole sentences and ids are no labels. */
export function isLabel(text: string): boolean {
  if (text.length > MOST || /[.!?:]$/.test(text) || /[.;] /.test(text)) return false;
  return !/^[a-z]+([A-Z]\w*|(-[a-z0-9]+)+)$/.test(text);
}

export interface Group {
  readonly title: string;
  /** Folders of components whose labels it lists. */ readonly folders: readonly string[];
  readonly labels: ReadonlySet<string>;
}

/** Groups of LABELS.md: a heading with folders in brackets, then labels in backticks, origin by origin. */
export function groupsListed(): Group[] {
  const parts = read('components/LABELS.md').split(/^## /m).slice(1);
  return parts.map((part) => {
    const [head = '', ...lines] = part.split('\n');
    const [, title = head, folders = ''] = /^(.*?)(?: \((.*)\))?$/.exec(head.trim()) ?? [];
    const listed = lines
      .filter((line) => /^((T|S|O): |`)/.test(line))
      .flatMap((line) => [...line.matchAll(/`([^`]+)`/g)]);
    return {
      title,
      folders: folders === '' ? [] : folders.split(', '),
      labels: new Set(listed.map(([, text]) => text)),
    };
  });
}

/** Labels that were said in the folders of a group, once each. */
export function labelsOf(said: readonly Said[], folders: readonly string[]): string[] {
  const inside = said.filter(({ path }) => folders.some((folder) => path.startsWith(`components/${folder}/`)));
  return [...new Set(inside.map(({ text }) => text).filter(isLabel))];
}

/** Colors of the table in LABELS.md that have a meaning there. */
export const colorsListed = (): string[] =>
  [...read('components/LABELS.md').matchAll(/^\| `(--[\w-]+)` \| [^|?]+ \|$/gm)].map(([, name]) => name ?? '');
