/** The small drawings on the hand controls, in the manner of the drill: outline, cut surfaces hatched, one side light. */
import { html, svg } from 'lit';

/** Way of the blade at full travel, toward the handle, on its sheet of 48 x 40. */
const TRAVEL = 9;

/** The handle from the side, with the blade of the trigger at its travel. */
export const triggerPicture = (travel: number) => html`
  <svg class="pic" viewBox="0 0 48 40" aria-hidden="true">
    <g transform="translate(${(TRAVEL * travel).toFixed(1)} 0)"><path class="blade" d="M7 12H24C26 18 26 25 24 31H17C18 24 14 17 7 12Z"/><path class="seam" d="M15 14.500C19 19 20 24 20 29"/></g>
    <path class="shell" d="M2 1H47V13C45 15 44 18 44 22V39H24C25 31 25 22 22 13C16 13 8 12 2 10Z"/>
    <path class="seam" d="M31 20H44M31 25H44M31 30H44M31 35H44"/>
  </svg>`;

const arrow = (d: string) =>
  html`<svg class="sign" viewBox="0 0 16 16" aria-hidden="true">${svg`<path d=${d}/>`}</svg>`;
export const DIRECTION_SIGNS = {
  1: arrow('M2 4H14L8 14Z'),
  0: arrow('M3 6H13V10H3Z'),
  [-1]: arrow('M2 12H14L8 2Z'),
} as const;

/** What the chuck meets, each as one sees it under the jaws; on a sheet of 30 x 30. */
const LOADS: Readonly<Record<string, ReturnType<typeof svg>>> = {
  nothing: svg`<path class="steel" d="M11 2H19V14L16.500 24H13.500L11 14Z"/>`,
  screw: svg`<path class="wood" d="M1 17H29V29H1Z"/><path class="steel" d="M8 4H22L17 9V22L15 27L13 22V9Z"/><path class="line" d="M11 13L19 11.500M11 17L19 15.500M11 21L19 19.500"/>`,
  stop: svg`<path class="steel" d="M11 2H19V12H11Z"/><path class="hatch" d="M4 12H26V26H4Z"/><path class="line" d="M4 19L11 12M4 26L18 12M11 26L25 12M18 26L26 18"/><path class="line" d="M1 26H29"/>`,
  wood: svg`<path class="wood" d="M1 16H29V28H1Z"/><path class="gap" d="M8 16H22V20L15 26L8 20Z"/><path class="steel" d="M8 3H22V18L15 24L8 18Z"/><path class="line" d="M8 15C15 15 15 9 22 9M8 9C15 9 15 3 22 3"/>`,
  steel: svg`<path class="hatch" d="M1 20H29V26H1Z"/><path class="line" d="M1 26L7 20M6 26L12 20M18 26L24 20M23 26L29 20"/><path class="steel" d="M12 2H18V21L15 25L12 21Z"/><path class="line" d="M12 18C15 18 15 13 18 13M12 11C15 11 15 6 18 6"/>`,
  joint: svg`<path class="hatch" d="M2 16H28V28H2Z"/><path class="line" d="M2 22L8 16M2 28L11 19M20 28L28 20"/><path class="steel" d="M12 16H18V28H12ZM8 6H22V13H8ZM6 13H24V16H6Z"/><path class="line" d="M12 6V13M18 6V13"/>`,
};
export const loadPicture = (load: string) =>
  html`<svg class="pic" viewBox="0 0 30 30" aria-hidden="true">${LOADS[load] ?? LOADS.nothing}</svg>`;

/** A hand around the chuck. */
export const gripPicture = html`
  <svg class="pic" viewBox="0 0 34 30" aria-hidden="true">
    <path class="steel" d="M9 1H25V29H9Z"/><path class="line" d="M13 1V29M17 1V29M21 1V29"/>
    <path class="skin" d="M6 6H27Q30 6 30 9Q30 11.500 27 11.500H6Q3 11.500 3 9Q3 6 6 6ZM5 11.500H28Q31 11.500 31 14Q31 17 28 17H5Q2 17 2 14Q2 11.500 5 11.500ZM6 17H27Q30 17 30 20Q30 22.500 27 22.500H6Q3 22.500 3 20Q3 17 6 17Z"/>
  </svg>`;
