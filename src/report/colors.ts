/**
 * Colors of a report, day and night: those of the page (components/style/tokens.css; a test holds both together), under
 * the same names. A report is one file that needs no other, so it carries the few that it uses.
 */
export const COLORS: Readonly<Record<'day' | 'night', Readonly<Record<string, string>>>> = {
  day: {
    ground: '#eef1ee',
    paper: '#fbfcfa',
    ink: '#1a2226',
    ink2: '#4b585e',
    edge: '#7c8a8f',
    rule: '#c6cecb',
    a: '#00508f',
    b: '#c85000',
    c: '#2a9a72',
    i: '#8a5a00',
    fail: '#b3201a',
    envelope: '#d9dfdd',
  },
  night: {
    ground: '#0d1215',
    paper: '#141a1e',
    ink: '#eef2ef',
    ink2: '#a7b4b8',
    edge: '#6c7c83',
    rule: '#2c373d',
    a: '#3f93dd',
    b: '#f58b45',
    c: '#7addb6',
    i: '#efc75e',
    fail: '#ff8a80',
    envelope: '#27323a',
  },
};

/** Declarations of one side, to stand in a rule. */
export const declarations = (side: 'day' | 'night'): string =>
  Object.entries(COLORS[side])
    .map(([name, value]) => `--${name}:${value}`)
    .join(';');
