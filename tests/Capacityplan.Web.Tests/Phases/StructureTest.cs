using AngleSharp.Dom;
using Bunit;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Web.Plans;
using Microsoft.AspNetCore.Components;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;

namespace Capacityplan.Web.Tests.Phases;

/// <summary>A test of a part of the sheet about a job's structure, over a session without a page.</summary>
public abstract class StructureTest : BunitContext
{
    protected StructureTest()
    {
        JSInterop.Mode = JSRuntimeMode.Loose;
        Services.AddScoped<ThemeState>().AddSingleton<TimeProvider>(Clock);
    }

    private protected static PhaseDraft Serial { get; } = new() { Name = "read", IsParallel = false, Seconds = "2 min" };

    private protected static PhaseDraft Parallel { get; } = new() { Name = "grid", Units = "200", EachTakes = "290 ms" };

    private protected FakeTimeProvider Clock { get; } = new();

    /// <summary>A session that has read its phases.</summary>
    private protected async Task<PlanSession> SessionAsync(params PhaseDraft[] phases)
    {
        var session = new PlanSession(new PlanDraft { Phases = [.. phases] }, new Catalogue { Name = "none", Machines = [] }, Clock);
        session.Start();
        await session.WhenSettledAsync();
        return session;
    }

    /// <summary>Has the session read what was typed, and shows it.</summary>
    private protected async Task SettleAsync(PlanSession session, IRenderedComponent<IComponent> shown)
    {
        Task settled = session.WhenSettledAsync();
        while (!settled.IsCompleted)
        {
            Clock.Advance(PlanSession.Silence);
            await Task.Yield();
        }

        shown.Render();
    }

    private protected static IElement Labelled(IRenderedComponent<IComponent> shown, string label) => shown.Find($"[aria-label=\"{label}\"]");

    private protected static IElement Button(IRenderedComponent<IComponent> shown, string words) =>
        shown.FindAll("button").Single(button => button.TextContent.Trim() == words);

    private protected static string[] Labels(IRenderedComponent<IComponent> shown, string start) =>
        [.. shown.FindAll("[aria-label]").Select(element => element.GetAttribute("aria-label")!).Where(label => label.StartsWith(start, StringComparison.Ordinal))];

    private protected static string Words(IElement element) =>
        string.Join(' ', element.TextContent.Split((char[])[' ', '\n', '\r'], StringSplitOptions.RemoveEmptyEntries));
}
