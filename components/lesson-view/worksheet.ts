import { html } from 'lit';
import type { Lesson } from '../lessons/lesson.ts';
import { LESSON_WORDS as WORDS } from './words.ts';

/** A lesson on paper, for whoever watches: what is asked, and room for what was seen. It is only there for print. */
export const worksheet = ({ title, about, steps }: Lesson) => html`
  <article class="worksheet" aria-hidden="true">
    <h1>${title}</h1>
    <p>${about}</p>
    <div class="line">${WORDS.sheetName}</div>
    ${steps.map(
      (step, k) => html`<section>
        <h2>${k + 1}. ${step.title}</h2>
        <p>${step.says}</p>
        ${step.readings.map(({ words }) => html`<div class="line">${words}:</div>`)}
        <p><b>${step.ask}</b></p>
        <ol>${step.answers.map(({ text }) => html`<li>${text}</li>`)}</ol>
        <div class="line">${WORDS.sheetSees}:</div>
        <div class="line">${WORDS.sheetWhy}:</div>
      </section>`,
    )}
    ${WORDS.cautions.map((text) => html`<p>${text}</p>`)}
  </article>
`;
