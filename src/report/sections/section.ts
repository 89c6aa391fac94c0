/** A section: its title and one sentence about it in the margin, its content beside. */
import { type Html, html, type Part } from '../html.ts';

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

/** Address of a run inside the file. */
export const runId = (index: number): string => `run-${index + 1}`;
