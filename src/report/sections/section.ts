/** A section: its title and one sentence about it in the margin, its content beside. */

import { roomShare } from '../bar.ts';
import { type Html, html, type Part } from '../html.ts';
import { leastRoom } from '../least.ts';
import type { RunTold } from '../model.ts';
import { letterOf } from '../verdict.ts';

export interface Section {
  readonly id: string;
  readonly title: string;
  readonly body: Html;
  readonly html: Html;
}

/** @param note what a stranger has to know to read it */
export function section(id: string, title: string, note: Part, body: Html, kind = ''): Section {
  const text = html`<section id="${id}" class="${kind}" aria-labelledby="${id}-h">
<div class="side"><h2 id="${id}-h">${title}</h2><p>${note}</p></div>
<div class="body">${body}</div>
</section>
`;
  return { id, title, body, html: text };
}

/** Up to here every run is laid out; of more only those that need a look and those with the least room. */
const ALL_MOST = 60;
const NOT_PASSED_MOST = 12;
const LEAST_ROOM = 4;

/** Which runs are laid out in full, and where in the file they stand. */
export class Links {
  readonly shown: readonly RunTold[];
  /** Runs that are not laid out. */ readonly rest: number;
  private readonly ids: ReadonlyMap<RunTold, string>;

  constructor(runs: readonly RunTold[]) {
    this.shown = runs.length <= ALL_MOST ? runs : notable(runs);
    this.rest = runs.length - this.shown.length;
    this.ids = new Map(this.shown.map((run) => [run, `run-${runs.indexOf(run) + 1}`]));
  }

  /** Address of a run that is laid out. */
  id(run: RunTold): string {
    return this.ids.get(run) ?? '';
  }

  /** Text that leads to the run where it is laid out; else the text alone. */
  to(run: RunTold, text: string): Html {
    const id = this.ids.get(run);
    return id === undefined ? html`${text}` : html`<a href="#${id}">${text}</a>`;
  }

  restText(): Html {
    return this.rest > 0
      ? html`<p class="soft small">and ${this.rest} more runs; the table of results has all</p>`
      : html``;
  }
}

function notable(runs: readonly RunTold[]): RunTold[] {
  const bad = runs.filter(({ verdict }) => letterOf(verdict) !== 'P').slice(0, NOT_PASSED_MOST);
  const room = (run: RunTold): number => {
    const least = leastRoom([run]);
    return (least && roomShare(least.check)) ?? Number.POSITIVE_INFINITY;
  };
  const good = runs.filter(({ verdict }) => letterOf(verdict) === 'P').map((run) => ({ run, room: room(run) }));
  good.sort((a, b) => a.room - b.room);
  return [...bad, ...good.slice(0, LEAST_ROOM).map(({ run }) => run)];
}
