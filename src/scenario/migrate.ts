/**
 * Versions of the scenario format. A file says its own with `format`; one that says none is of version 1. Older ones are
 * brought up step by step when they are read, so that the rest of the program knows the newest alone.
 *
 *   1  a check without 'take' looks at the last value of its window
 *   2  a check says what it takes: one that was meant to watch a limit and looked at a single tick passed too easily
 */
import { type Content, list, record } from './reader.ts';

/** Brings content from one version to the next. Gets anything that YAML can say, and never throws. */
export type Migration = (content: Content) => Content;

export const FORMAT = 2;
/** Version of a file that names none. */
export const UNNAMED_FORMAT = 1;

export const MIGRATIONS: Readonly<Record<number, Migration>> = Object.freeze({
  1: (content: Content): Content => ({
    ...content,
    ...('checks' in content ? { checks: checksThatTake(content.checks) } : {}),
  }),
});

export type Migrated = { readonly ok: true; readonly content: Content } | { readonly ok: false; readonly why: string };

/** Brings content up to the newest version; refuses what is newer, or no version at all. */
export function migrate(content: Content, table = MIGRATIONS, newest = FORMAT): Migrated {
  const named = Object.hasOwn(content, 'format') ? content.format : UNNAMED_FORMAT;
  if (typeof named !== 'number' || !Number.isInteger(named) || named < 1) {
    return { ok: false, why: `${String(named).slice(0, 40)} is no version of the format; allowed is 1 to ${newest}` };
  }
  if (named > newest) {
    const why = `the file has version ${named} of the format, this program reads 1 to ${newest}`;
    return { ok: false, why: `${why}; a newer program is needed` };
  }
  let now = content;
  for (let version = named; version < newest; version++) now = table[version](now);
  return { ok: true, content: now };
}

function checksThatTake(checks: unknown): unknown {
  if (!Array.isArray(checks)) return checks;
  return list(checks).map((check) =>
    record(check) === check && !('take' in check) ? { ...check, take: 'last' } : check,
  );
}
