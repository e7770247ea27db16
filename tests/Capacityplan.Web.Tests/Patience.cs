using System.Runtime.CompilerServices;
using Bunit;

namespace Capacityplan.Web.Tests;

/// <summary>How long a test waits for a page to show what it must: far longer than it needs, since the machine may be busy.</summary>
internal static class Patience
{
    [ModuleInitializer]
    internal static void Have() => BunitContext.DefaultWaitTimeout = TimeSpan.FromSeconds(30);
}
