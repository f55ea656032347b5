import type { RouteComponent } from '@tanstack/react-router'
import { type ComponentType, lazy } from 'react'

/**
 * A screen whose code is loaded when it is first opened; `name` is its export. Unlike the router's own helper it
 * never reloads the page by itself when loading fails: that could take away what somebody is entering.
 */
export function lazyScreen<Name extends string = 'default'>(
  load: () => Promise<{ readonly [name in Name]: ComponentType }>,
  name: Name = 'default' as Name,
): RouteComponent {
  const Loaded: ComponentType = lazy(async () => {
    const screen: ComponentType = (await load())[name]
    return { default: screen }
  })
  const preload = async () => {
    await load()
  }
  return Object.assign(() => <Loaded />, { preload })
}
