import { describe, expect, it } from 'vitest';
import { resolvePlaces } from '../../src/agent/places.js';

describe('resolvePlaces', () => {
  it('uses the folders of the system as root', () => {
    expect(resolvePlaces({}, { isRoot: true, environment: { HOME: '/root' } })).toEqual({
      modelFile: '/etc/bayward/box.toml',
      storeFile: '/var/lib/bayward/store.sqlite',
      socketFile: '/run/bayward/agent.sock',
      port: 7420,
    });
  });

  // XDG Base Directory Specification 0.8: defaults below HOME, and the variables when they are set.
  it('uses the XDG folders otherwise', () => {
    const environment = { HOME: '/people/ada', XDG_RUNTIME_DIR: '/run/user/1000' };
    expect(resolvePlaces({}, { isRoot: false, environment })).toEqual({
      modelFile: '/people/ada/.config/bayward/box.toml',
      storeFile: '/people/ada/.local/state/bayward/store.sqlite',
      socketFile: '/run/user/1000/bayward/agent.sock',
      port: 7420,
    });
  });

  it('keeps the socket beside the store when there is no runtime folder', () => {
    const { socketFile } = resolvePlaces({}, { isRoot: false, environment: { HOME: '/h' } });
    expect(socketFile).toBe('/h/.local/state/bayward/agent.sock');
  });

  it('keeps the socket beside a store that was named, so that two boxes do not meet', () => {
    const places = resolvePlaces({ store: '/tmp/a/s.sqlite' }, { isRoot: true, environment: {} });
    expect(places.socketFile).toBe('/tmp/a/agent.sock');
  });
});
