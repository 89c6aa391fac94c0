/**
 * components/LABELS.md lists every label, shortcut and color of the page with its origin, and nothing else. What the page says is read
 * from its source, so that a label behind a rare state counts as much as one that is always in sight.
 */
import { describe, expect, it } from 'vitest';
import { colorsListed, groupsListed, isLabel, labelsOf } from './label-list.ts';
import { codeSaid, colorsSet, keysHeard, type Said, templatesSaid, wordsSaid } from './label-source.ts';

const groups = groupsListed();
const grouped = groups.filter(({ folders }) => folders.length > 0);
const listed = (title: string): string[] => [...(groups.find((group) => group.title === title)?.labels ?? [])];
const said: readonly Said[] = [...wordsSaid(), ...templatesSaid(), ...codeSaid()];
/** A lesson is text to be read; its file says it all. */
const TOLD_ELSEWHERE = ['lessons'];
/** These still hold words in their templates; every other component keeps them in its words.ts. */
const STILL_INLINE = [
  'components/ahead-list/ahead-list.ts',
  'components/controller-sheet/controller-sheet.ts',
  'components/head-bar/head-bar.ts',
  'components/record-view/record-view.ts',
  'components/spindle-page/lost-notice.ts',
  'components/spindle-page/start.ts',
];

describe('labels of the page', () => {
  it('are all listed in LABELS.md, in the group of their component', () => {
    const missing = grouped.flatMap(({ title, folders, labels }) =>
      labelsOf(said, folders)
        .filter((label) => !labels.has(label))
        .map((label) => `add to '${title}', with its origin: \`${label}\``),
    );
    expect(missing).toEqual([]);
  });

  it('stand somewhere on the page when they are listed', () => {
    const gone = grouped.flatMap(({ title, folders, labels }) => {
      const there = new Set(labelsOf(said, folders));
      return [...labels].filter((label) => !there.has(label)).map((label) => `take out of '${title}': \`${label}\``);
    });
    expect(gone).toEqual([]);
  });

  it('belong to a component that has a group', () => {
    const folders = new Set(said.map(({ path }) => path.split('/')[1] ?? ''));
    const known = new Set([...grouped.flatMap((group) => group.folders), ...TOLD_ELSEWHERE]);
    expect([...folders].filter((folder) => !known.has(folder))).toEqual([]);
  });

  it('are told from what is to be read, and from ids', () => {
    for (const label of ['Whole run', 'Rewind to…', 'FAIL', '… of …']) expect(isLabel(label), label).toBe(true);
    for (const text of ['Nothing was run.', 'hall-six-step', 'packCurrent', 'One thing; another']) {
      expect(isLabel(text), text).toBe(false);
    }
  });

  it('are found where they stand: in words, in templates, in names, in code', () => {
    const texts = new Set(said.map(({ path, text }) => `${path.split('/')[1]}: ${text}`));
    for (const text of ['time-rail: Whole run', 'head-bar: Stop', 'style: Rotor angle', 'lesson-view: Next step']) {
      expect(texts, text).toContain(text);
    }
  });

  it('keep to the words.ts of their component', () => {
    // Names of keys and units are no English words; what is longer is.
    const inline = templatesSaid().filter(({ path, text }) => !STILL_INLINE.includes(path) && /\p{L}{4,}/u.test(text));
    expect(inline.map(({ path, text }) => `${path}: '${text}' belongs into words.ts`)).toEqual([]);
  });
});

describe('shortcuts of the page', () => {
  const heard = [...new Set(keysHeard().map(({ text }) => text))].sort();

  it('are those that LABELS.md lists', () => {
    expect(heard).toEqual(listed('Shortcuts').sort());
  });

  it('are found where they are handled', () => {
    for (const key of ['Escape', 'T', 'PageUp', '-', ';', 'Backspace']) expect(heard).toContain(key);
  });
});

describe('colors of the page', () => {
  it('are all listed in LABELS.md with what they mean', () => {
    expect(colorsListed().length).toBeGreaterThan(0);
    expect(colorsSet().sort()).toEqual(colorsListed().sort());
  });
});
