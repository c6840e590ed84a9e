/** Which requests the page's server lets in, and what its content policy says. */
import { describe, expect, it } from 'vitest';
import { contentPolicy, refusal } from '#workers/web-guard.ts';

const asked = (part: Partial<Parameters<typeof refusal>[0]>) => ({
  method: 'GET',
  host: '127.0.0.1:4173',
  origin: undefined,
  fetchSite: undefined,
  ...part,
});

describe('law', () => {
  it('its own page is let in under every name of this machine', () => {
    for (const host of ['127.0.0.1:4173', 'localhost:4173', '[::1]:4173', 'LOCALHOST:4173'])
      expect(refusal(asked({ host, method: 'POST', origin: `http://${host.toLowerCase()}`, fetchSite: 'same-origin' }))).toBeNull();
    expect(refusal(asked({ method: 'POST' }))).toBeNull(); // a program on this machine sends no Origin
    expect(refusal(asked({ host: '10.0.0.5:4173' }), ['10.0.0.5'])).toBeNull();
    expect(refusal(asked({ host: '[fd00::5]:4173' }), ['fd00::5'])).toBeNull();
    expect(refusal(asked({ host: 'Practice.lan' }), ['practice.lan'])).toBeNull();
  });

  it('the policy has the nonce, and nothing from outside or inline', () => {
    const policy = contentPolicy('abc', false);
    expect(policy).toMatch(/script-src 'nonce-abc' 'strict-dynamic'(;|$)/);
    expect(policy).not.toMatch(/unsafe|http|ws:|\*/);
  });
});

describe('refusal', () => {
  it.each([
    ['no Host', { host: undefined }],
    ['an address that was not named', { host: '10.0.0.6:4173' }],
    ['a name that is not ours', { host: 'rebound.example' }],
    ['a name that begins like ours', { host: 'localhost.rebound.example' }],
    ['a Host that cannot be read', { host: 'local host' }],
    ['another site', { method: 'POST', origin: 'http://other.example' }],
    ['another port of this machine', { method: 'POST', origin: 'http://127.0.0.1:9999' }],
    ['no readable Origin', { method: 'DELETE', origin: 'nonsense' }],
    ['an opaque Origin', { method: 'POST', origin: 'null' }],
    ['a cross-site script', { method: 'POST', fetchSite: 'cross-site' }],
    ['a same-site script', { method: 'POST', fetchSite: 'same-site' }],
  ])('%s', (_, part) => {
    expect(refusal(asked(part))).toMatch(/\.$/);
  });
});
