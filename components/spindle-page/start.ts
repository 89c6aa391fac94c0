/** What the page shows before the drill has said anything, and what its strokes mean. */
import { html } from 'lit';

export { AT_REST as REST } from '../session/session.ts';

/** Stroke says who says so. */
export const legend = html`
  <span class="legend" aria-hidden="true">
    <span><svg viewBox="0 0 34 10"><path d="M0 5H34" stroke="currentColor" stroke-width="2" /></svg>true</span>
    <span><svg viewBox="0 0 34 10"><path d="M0 5H34" stroke="currentColor" stroke-width="2" stroke-dasharray="8 4" /></svg>estimated</span>
    <span><svg viewBox="0 0 34 10"><path d="M1 5H34" stroke="currentColor" stroke-width="3" stroke-dasharray="3 4" /></svg>sensed</span>
  </span>
`;
