/** Day or night: as the system has it until a person chooses; the choice is kept in this browser. */
import { keepItem, keptItem } from '../session/kept-item.ts';

const KEY = 'phantom-spindle-theme';

export function openingNight(): boolean {
  const kept = keptItem('localStorage', KEY);
  return kept === 'night' || (kept !== 'day' && matchMedia('(prefers-color-scheme: dark)').matches);
}

/** Shows it on the page and on the frame that system and browser draw around it. */
export function showTheme(night: boolean): void {
  const root = document.documentElement;
  root.dataset.theme = night ? 'night' : 'day';
  const ground = getComputedStyle(root).getPropertyValue('--ground').trim();
  for (const meta of document.querySelectorAll<HTMLMetaElement>('meta[name=theme-color]'))
    if (ground) meta.content = ground;
}

export function keepTheme(night: boolean): void {
  keepItem('localStorage', KEY, night ? 'night' : 'day');
}
