/** The parts of the drill as one chooses them: where they lie, and that every fault has a place to hang its tape. */
import { describe, expect, it } from 'vitest';
import { neighbor, PARTS, partOf, partOfTrip } from '../../components/drill-view/parts.ts';
import { WORDS } from '../../components/drill-view/words.ts';
import { DRAWING, ROWS } from '../../components/style/rows.ts';
import { TRIP_TEXT } from '../../src/control/tables.ts';
import { FAULTS } from '../../src/faults/catalogue.ts';

describe('the parts of the drill', () => {
  it('lie on the drawing, large enough to be hit on the smallest page that shows it (348 px wide)', () => {
    const scale = 348 / DRAWING.width;
    for (const {
      id,
      box: [x, y, width, height],
    } of PARTS) {
      expect(x, id).toBeGreaterThanOrEqual(0);
      expect(y, id).toBeGreaterThanOrEqual(0);
      expect(x + width, id).toBeLessThanOrEqual(DRAWING.width);
      expect(y + height, id).toBeLessThanOrEqual(DRAWING.height);
      // WCAG 2.2, 2.5.8 Target Size (Minimum): 24 by 24 CSS pixels.
      expect(Math.min(width, height) * scale, id).toBeGreaterThanOrEqual(24);
    }
  });

  it('leave each other a place of their own: the middle of each is not covered by a later one', () => {
    for (const [
      k,
      {
        id,
        box: [x, y, width, height],
      },
    ] of PARTS.entries()) {
      const middle = [x + width / 2, y + height / 2];
      const over = PARTS.slice(k + 1).filter(
        ({ box: [a, b, w, h] }) => middle[0] > a && middle[0] < a + w && middle[1] > b && middle[1] < b + h,
      );
      expect(
        over.map((part) => part.id),
        id,
      ).toEqual([]);
    }
  });

  it('each have a name of their own and a row of the record', () => {
    const names = PARTS.map((part) => WORDS.partNames[part.id]);
    expect(new Set(names).size).toBe(PARTS.length);
    for (const { row } of PARTS) expect(ROWS.map((r) => r.id)).toContain(row);
  });

  it('hold every fault of the catalogue, in a part that is looked through for its place', () => {
    for (const fault of Object.values(FAULTS)) {
      const part = PARTS.find(({ id }) => id === partOf({ fault: fault.id, place: fault.place }));
      expect(part?.places, fault.id).toContain(fault.place);
    }
  });

  it('tell the gearbox from the chuck', () => {
    expect(partOf({ fault: 'clutch-worn', place: 'mechanics' })).toBe('gear');
    expect(partOf({ fault: 'chuck-jams', place: 'mechanics' })).toBe('chuck');
  });

  it('carry the tag of a trip where its reason lies', () => {
    const parts = Object.values(TRIP_TEXT).map((text) => [text, partOfTrip(text)]);
    expect(Object.fromEntries(parts)).toMatchObject({
      'sampled phase current above its limit': 'switches',
      'link voltage above 5 V a cell': 'pack',
      'Hall code 000 or 111 for more than two ticks': 'sensors',
      'rotor angle lost': 'sensors',
      'stalled for too long': 'motor',
      'motor speed above its limit': 'motor',
    });
  });

  it('are walked through by arrow keys, around the end, and by no other key', () => {
    const last = PARTS.length - 1;
    expect([neighbor(0, 'ArrowDown'), neighbor(last, 'ArrowRight'), neighbor(0, 'ArrowUp')]).toEqual([1, 0, last]);
    expect([neighbor(3, 'Home'), neighbor(3, 'End'), neighbor(3, 'x')]).toEqual([0, last, undefined]);
  });
});
