using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Components.Rendering;

namespace Capacityplan.Web.Components.Charts;

/// <summary>A text in a drawing. In a component's markup its element would be taken for Razor's own.</summary>
public sealed class SvgText : ComponentBase
{
    [Parameter, EditorRequired]
    public required string X { get; set; }

    [Parameter, EditorRequired]
    public required string Y { get; set; }

    [Parameter, EditorRequired]
    public required string Text { get; set; }

    /// <summary>"start", "middle" or "end"; null for the start.</summary>
    [Parameter]
    public string? Anchor { get; set; }

    /// <summary>Style classes.</summary>
    [Parameter]
    public string? Class { get; set; }

    protected override void BuildRenderTree(RenderTreeBuilder builder)
    {
        builder.OpenElement(0, "text");
        builder.AddAttribute(1, "x", X);
        builder.AddAttribute(2, "y", Y);
        builder.AddAttribute(3, "text-anchor", Anchor);
        builder.AddAttribute(4, "class", Class);
        builder.AddContent(5, Text);
        builder.CloseElement();
    }
}
