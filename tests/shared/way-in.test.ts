import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { signInOnTheWayTo, wayIn } from '#shared/way-in.ts';

const ID = '0123456789abcdef0123456789abcdef';

describe('law', () => {
  it('leads back to the page that was wanted', () => {
    for (const page of ['/cases', `/cases/${ID}`, `/cases/${ID}/complaints/${ID}`, `/comparison/${ID}`, '/settings/audit', '/about']) {
      expect(wayIn(page)).toBe(page);
      expect(new URL(signInOnTheWayTo(page), 'http://here').searchParams.get('to')).toBe(page);
    }
    expect(signInOnTheWayTo('/')).toBe('/sign-in');
  });

  it('leads nowhere but to a page of this program, whatever it is told', () => {
    const wild = fc.oneof(
      fc.string(),
      fc.webUrl(),
      fc.webUrl().map((url) => `/cases/../${url}`),
      fc.string().map((end) => `/cases${end}`),
      fc.constantFrom(
        '//evil.example',
        '/\\evil.example',
        '/cases//evil.example',
        '/cases/%2e%2e',
        'javascript:alert(1)',
        '/api/cases',
        ['/cases'],
        undefined,
      ),
    );
    fc.assert(
      fc.property(wild, (wanted) => {
        const to = wayIn(wanted);
        const url = new URL(to, 'http://here.example');
        expect(url.origin).toBe('http://here.example');
        expect(url.pathname).toBe(to);
        expect(to === '/' || /^\/(cases|comparison|series|settings|about)(\/|$)/.test(to)).toBe(true);
      }),
      { numRuns: 500, seed: 5 },
    );
  });
});
