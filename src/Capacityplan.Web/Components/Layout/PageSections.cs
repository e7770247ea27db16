namespace Capacityplan.Web.Components.Layout;

/// <summary>The places outside its own body that a page may fill with a <see cref="PageSection"/>, by name.</summary>
public static class PageSections
{
    /// <summary>The end of the bar: the page's tools and its state, such as when the plan was saved.</summary>
    public const string BarEnd = "bar-end";

    /// <summary>The answer row, between the bar and the page's main landmark.</summary>
    public const string Answer = "answer";
}
