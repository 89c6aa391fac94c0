/** Which stretch of time is in sight, and what zooming and scrolling make of it. Nothing here knows of pixels. */

export interface View {
  /** Shows everything that is held, and widens with it. */ readonly all?: boolean;
  /** The right edge is now, and goes along with it. */ readonly live: boolean;
  readonly from_s: number;
  readonly to_s: number;
}

export interface Held {
  readonly from_s: number;
  readonly to_s: number;
}

/** Ten steps of the plant at 1 us: closer, nothing more can be told. */
export const LEAST_S = 1e-5;
/** A run that has only begun is still drawn on a paper of this width. */
const SHORTEST_RUN_S = 0.05;

export const spanOf = (view: { readonly from_s: number; readonly to_s: number }): number => view.to_s - view.from_s;

/** The widest span that makes sense: the whole run, as far as it is held. */
export const widest = (held: Held): number => Math.max(SHORTEST_RUN_S, spanOf(held));

/** The same span, its right edge at now; or all that is held until now. */
export function follow(view: View, held: Held, now_s: number): View {
  if (!view.live) return view;
  return view.all ? whole({ ...held, to_s: now_s }, true) : { live: true, from_s: now_s - spanOf(view), to_s: now_s };
}

/** Wider (factor above 1) or closer about a time; a live view keeps its right edge. */
export function zoom(view: View, held: Held, factor: number, at_s: number): View {
  const span_s = Math.min(widest(held), Math.max(LEAST_S, spanOf(view) * factor));
  if (view.live) return { live: true, from_s: view.to_s - span_s, to_s: view.to_s };
  const share = (at_s - view.from_s) / spanOf(view);
  return inside({ live: false, from_s: at_s - share * span_s, to_s: at_s + (1 - share) * span_s }, held);
}

/** Later by `by_s`; whoever scrolls looks at the past, and the view stands still. */
export function scroll(view: View, held: Held, by_s: number): View {
  return inside({ live: false, from_s: view.from_s + by_s, to_s: view.to_s + by_s }, held);
}

/** Everything that is held. */
export function whole(held: Held, live: boolean): View {
  const span_s = widest(held);
  return { live, all: true, from_s: held.to_s - span_s, to_s: held.to_s };
}

/** A stretch between two times, with a little room on both sides. */
export function between(a_s: number, b_s: number, held: Held): View {
  const room_s = Math.max(LEAST_S, Math.abs(b_s - a_s) * 1.1);
  const middle_s = (a_s + b_s) / 2;
  return inside({ live: false, from_s: middle_s - room_s / 2, to_s: middle_s + room_s / 2 }, held);
}

/** Moves a view back to where something is held, keeping its span. */
function inside(view: View, held: Held): View {
  const span_s = spanOf(view);
  const first_s = Math.min(held.from_s, held.to_s - span_s);
  const from_s = Math.max(first_s, Math.min(view.from_s, held.to_s - span_s));
  return { live: view.live, from_s, to_s: from_s + span_s };
}
