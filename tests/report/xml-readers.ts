/** Readers of XML that are not ours: an npm package, and the one that comes with Python where there is a Python. */
import { spawnSync } from 'node:child_process';
import { XMLParser, XMLValidator } from 'fast-xml-parser';

export interface CaseRead {
  readonly classname: string;
  readonly name: string;
  readonly red: boolean;
  readonly skipped: boolean;
}

export interface SuiteRead {
  readonly name: string;
  readonly tests: number;
  readonly failures: number;
  readonly errors: number;
  readonly skipped: number;
  readonly properties: Readonly<Record<string, string>>;
  readonly cases: readonly CaseRead[];
}

const parser = new XMLParser({
  ignoreAttributes: false,
  attributeNamePrefix: '',
  parseAttributeValue: false,
  isArray: (name) => ['testsuite', 'testcase', 'property'].includes(name),
});

// biome-ignore lint/suspicious/noExplicitAny: what a general parser returns has no shape of its own
type Loose = any;

/** Throws when the file is not well-formed. */
export function readByNpm(text: string): { suites: SuiteRead[]; rootNames: string[] } {
  const valid = XMLValidator.validate(text);
  if (valid !== true) throw new Error(`line ${valid.err.line}: ${valid.err.msg}`);
  const root: Loose = parser.parse(text).testsuites;
  const rootNames = Object.keys(root).filter((key) => key !== 'testsuite');
  const suites = (root.testsuite ?? []).map((suite: Loose) => ({
    name: suite.name,
    tests: Number(suite.tests),
    failures: Number(suite.failures),
    errors: Number(suite.errors),
    skipped: Number(suite.skipped),
    properties: Object.fromEntries(suite.properties.property.map((each: Loose) => [each.name, each.value])),
    cases: suite.testcase.map((each: Loose) => ({
      classname: each.classname,
      name: each.name,
      red: 'failure' in each || 'error' in each,
      skipped: 'skipped' in each,
    })),
  }));
  return { suites, rootNames };
}

const SCRIPT = `
import json, sys
import xml.etree.ElementTree as tree
answers = []
for text in json.load(sys.stdin):
    try:
        root = tree.fromstring(text.encode('utf-8'))
        cases = [[c.get('classname'), c.get('name'), any(e.tag in ('failure', 'error') for e in c)] for c in root.iter('testcase')]
        answers.append({'ok': True, 'tag': root.tag, 'cases': cases})
    except Exception as why:
        answers.append({'ok': False, 'why': str(why)})
json.dump(answers, sys.stdout)
`;

export type PythonRead =
  | { readonly ok: true; readonly tag: string; readonly cases: readonly (readonly [string, string, boolean])[] }
  | { readonly ok: false; readonly why: string };

/** All texts by Python's own reader (expat), in one process; undefined where there is no Python, which CI must have. */
export function readByPython(texts: readonly string[]): PythonRead[] | undefined {
  const found = spawnSync('python3', ['-c', SCRIPT], { input: JSON.stringify(texts), encoding: 'utf8' });
  if (found.status === 0) return JSON.parse(found.stdout);
  if (process.env.CI === 'true') throw new Error(`python3 is not there: ${found.error?.message ?? found.stderr}`);
  return undefined;
}
