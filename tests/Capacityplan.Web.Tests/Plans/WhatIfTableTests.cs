using AngleSharp.Dom;
using Bunit;
using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Capacityplan.Web.Components.Sheet;
using Capacityplan.Web.Plans;
using Microsoft.AspNetCore.Components;
using Microsoft.Extensions.Time.Testing;

namespace Capacityplan.Web.Tests.Plans;

public sealed class WhatIfTableTests : BunitContext
{
    [Fact]
    public async Task Table_KeepsReopensDeletesAndPutsBack_AWhatIf()
    {
        DemoData demo = DemoData.Load();
        await using var session = new PlanSession(demo.Plan with { Phases = [], WhatIfLevers = new WhatIfDraft { Span = "0.5" } }, demo.Catalogue, new FakeTimeProvider());
        session.Start();
        await session.WhenSettledAsync();
        IRenderedComponent<IComponent> levers = Show<WhatIfLevers>(session, []);

        Button(levers, "Keep it").Click();
        await session.WhenSettledAsync();
        IRenderedComponent<IComponent> table = Show<WhatIfTable>(session, new() { [nameof(WhatIfTable.Base)] = session.Result! });

        Assert.Equal(["as planned", "what if", "span ×\u00A00.5"], Names(table));
        IElement[] asked = [.. table.FindAll("tbody tr")[1].Children], kept = [.. table.FindAll("tbody tr")[2].Children];
        Assert.Equal(asked[2..8].Select(cell => cell.TextContent), kept[2..8].Select(cell => cell.TextContent));
        Assert.NotEqual(table.FindAll("tbody tr")[0].Children[3].TextContent, kept[3].TextContent);

        Button(levers, "Clear the levers").Click();
        await session.WhenSettledAsync();
        Assert.Null(session.WhatIf);
        Button(table, "Reopen").Click();
        Assert.Equal("0.5", session.Draft.WhatIfLevers.Span);

        Button(table, "Delete").Click();
        await session.WhenSettledAsync();
        table.Render();
        Assert.Equal(["as planned", "what if"], Names(table));
        Button(table, "Put it back").Click();
        Assert.Equal("span ×\u00A00.5", Assert.Single(session.Draft.Variants).Name);
    }

    private static string[] Names(IRenderedComponent<IComponent> table) => [.. table.FindAll("tbody th").Select(head => head.TextContent)];

    private static IElement Button(IRenderedComponent<IComponent> shown, string words) =>
        shown.FindAll("button").Single(button => button.TextContent.Trim() == words);

    private IRenderedComponent<IComponent> Show<TPart>(PlanSession session, Dictionary<string, object> parameters)
        where TPart : IComponent => Render(builder =>
    {
        builder.OpenComponent<CascadingValue<PlanSession>>(0);
        builder.AddComponentParameter(1, "Value", session);
        builder.AddComponentParameter(2, "ChildContent", (RenderFragment)(inner =>
        {
            inner.OpenComponent<TPart>(0);
            foreach ((string name, object value) in parameters)
                inner.AddComponentParameter(1, name, value);
            inner.CloseComponent();
        }));
        builder.CloseComponent();
    });
}
