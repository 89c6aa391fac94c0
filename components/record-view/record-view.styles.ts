import { css } from 'lit';

export const recordStyles = css`
  :host { display: block; position: relative; overflow: hidden; background: var(--paper); min-width: 0; min-height: 0; }
  canvas, .waves { position: absolute; inset: 0; width: 100%; height: 100%; display: block; }
  .waves canvas { position: absolute; inset: 0; }
  .name, .said, .mark, .ruler { position: absolute; white-space: nowrap; line-height: 1.2; pointer-events: none; }
  .name { left: 0; padding: 0.3rem 0.75rem 0; overflow: hidden; text-overflow: ellipsis; }
  .name b { font-weight: 600; }
  .name span, .said { color: var(--ink2); font-size: 0.92rem; }
  .said { right: 0; padding: 0.33rem 0.75rem 0; text-align: right; overflow: hidden; text-overflow: ellipsis; }
  .mark {
    left: 0.4rem; transform: translateY(-50%); font-size: 0.92rem; color: var(--ink2);
    background: color-mix(in srgb, var(--paper) 78%, transparent); padding: 0 0.2rem; line-height: 1;
  }
  .mark.wood { background: none; color: var(--ink); }
  .mark.tip { transform: translateY(-105%); }
  .ruler {
    right: 0; transform: translateY(-50%); font-size: 0.92rem; line-height: 1; padding-right: 0.95rem; color: var(--ink);
    text-shadow: 0 0 3px var(--paper), 0 0 3px var(--paper), 0 0 3px var(--paper);
  }
  .ruler::after { content: ''; position: absolute; right: 0; top: 50%; width: 0.7rem; border-top: 1.5px solid var(--ink); }
  .throat {
    position: absolute; top: 0; background: var(--ground); border: solid var(--edge); border-width: 0 1px;
    display: grid; place-items: center;
  }
  .throat span { writing-mode: vertical-rl; transform: rotate(180deg); font-size: 0.92rem; color: var(--ink2); white-space: nowrap; }
`;
