using Microsoft.AspNetCore.Components;

namespace Capacityplan.Web.Components.Layout;

/// <summary>Keeps a fault inside one part of a page: says so in plain words in its place, and leaves everything outside as
/// it was. The part's own state is lost, so what people type is best kept outside it: put one around each drawing or
/// result, not around the fields.</summary>
public sealed partial class FaultBoundary(ILogger<FaultBoundary> logger)
{
    private string _reference = "";

    /// <summary>What stopped, as the sentence needs it: "this chart".</summary>
    [Parameter, EditorRequired]
    public required string Part { get; set; }

    protected override Task OnErrorAsync(Exception exception)
    {
        _reference = Guid.NewGuid().ToString("N")[..8];
        LogFault(logger, _reference, Part, exception);
        return Task.CompletedTask;
    }

    [LoggerMessage(Level = LogLevel.Error, Message = "{Reference}: {Part} stopped.")]
    private static partial void LogFault(ILogger logger, string reference, string part, Exception exception);
}
