/// <reference types="vite/types/importMeta.d.ts" />
/** The scenarios that come with the bench, as texts; bundled into a piece of its own that is loaded when it is asked for. */
import { firstComment } from '../src/scenario/source.ts';
import type { LibraryRow } from './runs-api.ts';

const TREE = '../scenarios/';

/** Texts by their place below the folder of scenarios. */
export const LIBRARY: ReadonlyMap<string, string> = new Map(
  Object.entries(
    import.meta.glob<string>('../scenarios/**/*.yaml', { query: '?raw', import: 'default', eager: true }),
  ).map(([path, text]) => [path.slice(TREE.length), text]),
);

/** What the library has, in the order of its places; parts that are only included are left out. */
export function libraryRows(): LibraryRow[] {
  return [...LIBRARY]
    .map(([place, text]) => ({ place, kind: kindOf(text), title: titleOf(text), shows: firstComment(text) }))
    .filter(({ title }) => title !== '')
    .sort((a, b) => folderOf(a.place).localeCompare(folderOf(b.place)) || a.title.localeCompare(b.title));
}

/** A campaign names the scenario that it plays. */
export const kindOf = (text: string): LibraryRow['kind'] => (/^scenario:/m.test(text) ? 'campaign' : 'scenario');

const titleOf = (text: string): string => /^title:\s*(.+?)\s*$/m.exec(text)?.[1].replace(/^(['"])(.*)\1$/, '$2') ?? '';
const folderOf = (place: string): string => (place.includes('/') ? place.slice(0, place.lastIndexOf('/')) : '');
