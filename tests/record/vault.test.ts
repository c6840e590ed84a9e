/** Seals: what goes in comes out, and nothing else does. The cipher and the passphrase's key against published vectors. */
import { argon2Sync } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { gcmCipher, gcmDecipher } from '#lib/record/aes-gcm.ts';
import { freshArgon2id, keyFromPassphrase } from '#lib/record/passphrase.ts';
import { SEAL_BYTES } from '#lib/record/seal-format.ts';
import { makeVault, newDataKey, VaultError } from '#lib/record/vault.ts';
import { GCM_DECRYPT, GCM_ENCRYPT } from '#tests/oracles/aes-256-gcm-cavp.ts';

const vault = makeVault(newDataKey(), 'key-file');
const bytes = fc.uint8Array({ maxLength: 300 });
const codeOf = (work: () => unknown): string => {
  try {
    work();
    return 'opened';
  } catch (error) {
    return error instanceof VaultError ? error.code : String(error);
  }
};

describe('law', () => {
  it('opens to the very bytes and the very text', () => {
    fc.assert(
      fc.property(bytes, fc.string({ unit: 'binary' }), fc.string(), (data, text, purpose) => {
        expect(vault.openBytes(vault.sealBytes(data, purpose), purpose)).toEqual(data);
        expect(vault.openText(vault.sealText(text, purpose), purpose)).toBe(text);
      }),
    );
  });
  it('does not open when any one bit is another', () => {
    fc.assert(
      fc.property(bytes, fc.nat(), fc.integer({ min: 0, max: 7 }), (data, at, bit) => {
        const sealed = Uint8Array.from(vault.sealBytes(data, 'p'));
        sealed[at % sealed.length]! ^= 1 << bit;
        expect(codeOf(() => vault.openBytes(sealed, 'p'))).toMatch(/^(damaged|newer)$/);
      }),
    );
  });
  it('does not open when it was cut, for another purpose, or with another key', () => {
    const sealed = vault.sealBytes(new Uint8Array([1, 2, 3]), 'photo');
    for (let length = 0; length < sealed.length; length++)
      expect(codeOf(() => vault.openBytes(sealed.subarray(0, length), 'photo'))).toBe('damaged');
    expect(codeOf(() => vault.openBytes(sealed, 'photo.preview'))).toBe('damaged');
    expect(codeOf(() => vault.openBytes(sealed, ''))).toBe('damaged');
    expect(codeOf(() => makeVault(newDataKey(), 'key-file').openBytes(sealed, 'photo'))).toBe('damaged');
  });
  it('takes no other spelling of sealed text', () => {
    const sealed = vault.sealText('her own words', 'p');
    for (const other of [`${sealed} `, sealed.slice(0, -1), `${sealed}AAAA`, sealed.toLowerCase(), '', 'plain text'])
      expect(codeOf(() => vault.openText(other, 'p'))).toBe('damaged');
  });
  it('never seals twice alike, and adds 33 bytes', () => {
    const sealed = Array.from({ length: 200 }, () => vault.sealText('the same', 'p'));
    expect(new Set(sealed).size).toBe(200);
    expect(vault.sealBytes(new Uint8Array(1000), 'p').length).toBe(1000 + SEAL_BYTES);
    expect(SEAL_BYTES).toBe(33);
  });
  it('writes nothing to what it is given', () => {
    const data = Object.freeze([5, 6, 7]);
    const given = Uint8Array.from(data);
    const sealed = vault.sealBytes(given, 'p');
    const before = Uint8Array.from(sealed);
    vault.openBytes(sealed, 'p');
    expect([...given]).toEqual(data);
    expect(Uint8Array.from(sealed)).toEqual(before);
  });
  it('says of a later form that it is one', () => {
    const sealed = Uint8Array.from(vault.sealBytes(new Uint8Array(3), 'p'));
    sealed[4] = 2;
    expect(codeOf(() => vault.openBytes(sealed, 'p'))).toBe('newer');
  });
  it('fingerprints agree for equal texts of one purpose and one key alone', () => {
    expect(vault.fingerprint('a', 'p')).toBe(vault.fingerprint('a', 'p'));
    const others = [vault.fingerprint('b', 'p'), vault.fingerprint('a', 'q'), makeVault(newDataKey(), 'key-file').fingerprint('a', 'p')];
    expect(others).not.toContain(vault.fingerprint('a', 'p'));
  });
  it('a passphrase gives one key however its characters were composed, and its case counts', () => {
    const how = freshArgon2id();
    const key = keyFromPassphrase('Zo\u00eb braucht W\u00e4rme', how);
    expect(keyFromPassphrase('Zoe\u0308 braucht Wa\u0308rme', how)).toEqual(key);
    expect(keyFromPassphrase('zo\u00eb braucht W\u00e4rme', how)).not.toEqual(key);
    expect(keyFromPassphrase('Zo\u00eb braucht W\u00e4rme', freshArgon2id())).not.toEqual(key);
  });
});

const hex = (text: string): Uint8Array => Uint8Array.from(Buffer.from(text, 'hex'));
const toHex = (data: Uint8Array): string => Buffer.from(data).toString('hex');

describe('oracle: NIST CAVP, AES-256-GCM', () => {
  it.each(GCM_ENCRYPT)('encrypts: $from', ({ key, iv, aad, pt, ct, tag }) => {
    const cipher = gcmCipher(hex(key), hex(iv), hex(aad));
    expect(toHex(Buffer.concat([cipher.update(hex(pt!)), cipher.final()]))).toBe(ct);
    expect(toHex(cipher.getAuthTag())).toBe(tag);
  });
  it.each(GCM_DECRYPT)('decrypts, or fails where NIST says so: $from', ({ key, iv, aad, pt, ct, tag }) => {
    const decipher = gcmDecipher(hex(key), hex(iv), hex(aad), hex(tag));
    const plain = decipher.update(hex(ct));
    if (pt === null) expect(() => decipher.final()).toThrow();
    else expect(toHex(Buffer.concat([plain, decipher.final()]))).toBe(pt);
  });
});

describe('oracle: argon2id', () => {
  // RFC 9106, section 5.3: with secret and associated data, which the program does not use; it is the platform's function that is looked at.
  it('RFC 9106, 5.3', () => {
    const tag = argon2Sync('argon2id', {
      message: new Uint8Array(32).fill(1),
      nonce: new Uint8Array(16).fill(2),
      secret: new Uint8Array(8).fill(3),
      associatedData: new Uint8Array(12).fill(4),
      parallelism: 4,
      tagLength: 32,
      memory: 32,
      passes: 3,
    });
    expect(toHex(tag)).toBe('0d640df58d78766c08c037a34a8b53c9d01ef0452d75b65eb52520e96b01e659');
  });
  // The reference implementation's test.c, argon2id of version 0x13: t 2, m 2^16, p 1, "password", "somesalt". Stated from memory.
  it('reference implementation, through the function that the keyring uses', () => {
    const key = keyFromPassphrase('password', { memoryKiB: 65_536, passes: 2, lanes: 1, salt: Buffer.from('somesalt').toString('base64') });
    expect(toHex(key)).toBe('09316115d5cf24ed5a15a31a3ba326e5cf32edc24702987c02b6566f61913cf7');
  });
  it('is never weaker than the OWASP minimum', () => {
    const { memoryKiB, passes, lanes } = freshArgon2id();
    expect(memoryKiB).toBeGreaterThanOrEqual(19_456);
    expect(passes).toBeGreaterThanOrEqual(2);
    expect(lanes).toBeGreaterThanOrEqual(1);
  });
});
